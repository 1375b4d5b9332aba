// Connects a phone: it scans the code with its camera and can then see and change the grafts of this folder.

import { useEffect, useRef, useState } from "preact/hooks";
import type { Join, Problem } from "./api_types";
import { drawing_of } from "./net/drawing";
import { ask } from "./net/request";
import { Select } from "./parts/field";
import { Problems } from "./parts/problems";

// The first of two codes where the workbench is served over TLS: a phone that has the certificate needs only the second.
function Trust({ trust }: { trust: NonNullable<Join["trust"]> }) {
  return (
    <details>
      <summary>First time with this phone? Take in the certificate</summary>
      <QrCode svg={trust.qr_svg} label="QR code for the certificate" />
      <p>
        Scan this code, or open <strong>{trust.address}</strong>, and do what the page says. Compare the fingerprint that the phone shows:
      </p>
      <p class="token">{trust.fingerprint}</p>
    </details>
  );
}

function QrCode({ svg, label }: { svg: string; label: string }) {
  const code = useRef<HTMLDivElement>(null);
  useEffect(() => {
    const drawn = drawing_of(svg);
    drawn?.setAttribute("role", "img");
    drawn?.setAttribute("aria-label", label);
    if (drawn) code.current?.replaceChildren(drawn);
  }, [svg]);
  return <div class="qr" ref={code} />;
}

export function JoinPhone() {
  const [join, set_join] = useState<Join | null>(null);
  const [problems, set_problems] = useState<Problem[]>([]);
  const [wanted, set_wanted] = useState("");
  const fetch_code = () =>
    void ask<Join>("/api/join").then((answer) => {
      if (answer.ok) set_join(answer.value);
      else set_problems(answer.problems);
    });
  useEffect(fetch_code, []);
  // A computer may be on several networks; only a person knows which one the phone is on.
  const shown = join?.addresses.find((one) => one.address === wanted) ?? join;
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
          {join.trust && <Trust trust={join.trust} />}
          <QrCode svg={shown.qr_svg} label="QR code for the phone" />
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
