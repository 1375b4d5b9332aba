// Connects a phone: it scans the code with its camera and can then see and change the grafts of this folder.

import { useEffect, useRef, useState } from "preact/hooks";
import type { Join, Problem } from "./api_types";
import { drawing_of } from "./net/drawing";
import { ask } from "./net/request";
import { Select } from "./parts/field";
import { Problems } from "./parts/problems";

export function JoinPhone() {
  const [join, set_join] = useState<Join | null>(null);
  const [problems, set_problems] = useState<Problem[]>([]);
  const [wanted, set_wanted] = useState("");
  const code = useRef<HTMLDivElement>(null);
  const fetch_code = () =>
    void ask<Join>("/api/join").then((answer) => {
      if (answer.ok) set_join(answer.value);
      else set_problems(answer.problems);
    });
  useEffect(fetch_code, []);
  // A computer may be on several networks; only a person knows which one the phone is on.
  const shown = join?.addresses.find((one) => one.address === wanted) ?? join;
  useEffect(() => {
    const svg = shown ? drawing_of(shown.qr_svg) : null;
    svg?.setAttribute("role", "img");
    svg?.setAttribute("aria-label", "QR code for the phone");
    if (svg) code.current?.replaceChildren(svg);
  }, [shown]);
  return (
    <section class="join" aria-label="Connect a phone">
      <Problems list={problems} />
      {join && shown && (
        <>
          {join.addresses.length > 1 && (
            <Select
              label="This computer's address on the phone's network"
              value={shown.address}
              choices={join.addresses.map(({ address }) => [address, address] as const)}
              take={set_wanted}
            />
          )}
          <div class="qr" ref={code} />
          <p>
            Scan this code with the phone's camera. The phone must be on the same network. The code works once, for five minutes. Or open{" "}
            <strong>{shown.address}</strong> and enter <strong class="token">{join.token}</strong>.
          </p>
          <button type="button" onClick={fetch_code}>
            New code
          </button>
        </>
      )}
    </section>
  );
}
