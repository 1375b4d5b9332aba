// A phone joins: it scans the code with its camera, and may then see and change the grafts of this folder.

import { useEffect, useRef, useState } from "preact/hooks";
import type { Join, Problem } from "./api_types";
import { ask } from "./net/answer";
import { drawing_of } from "./net/drawing";
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
  // One computer may be in several networks; which of them the phone is in, only a person knows.
  const shown = join?.addresses.find((one) => one.address === wanted) ?? join;
  useEffect(() => {
    const svg = shown ? drawing_of(shown.qr_svg) : null;
    svg?.setAttribute("role", "img");
    svg?.setAttribute("aria-label", "Code that a phone's camera reads");
    if (svg) code.current?.replaceChildren(svg);
  }, [shown]);
  return (
    <section class="join" aria-label="Join a phone">
      <Problems list={problems} />
      {join && shown && (
        <>
          {join.addresses.length > 1 && (
            <Select
              label="This computer's address in the phone's network"
              value={shown.address}
              choices={join.addresses.map(({ address }) => [address, address] as const)}
              take={set_wanted}
            />
          )}
          <div class="qr" ref={code} />
          <p>
            Scan it with the phone's camera, on the same network. It works once and for a few minutes; or open{" "}
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
