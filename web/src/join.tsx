// A phone joins: it scans the code with its camera, and may then see and change the grafts of this folder.

import { useEffect, useRef, useState } from "preact/hooks";
import type { Join, Problem } from "./api_types";
import { ask } from "./net/answer";
import { drawing_of } from "./net/drawing";
import { Problems } from "./parts/problems";

export function JoinPhone() {
  const [join, set_join] = useState<Join | null>(null);
  const [problems, set_problems] = useState<Problem[]>([]);
  const code = useRef<HTMLDivElement>(null);
  const fetch_code = () =>
    void ask<Join>("/api/join").then((answer) => {
      if (answer.ok) set_join(answer.value);
      else set_problems(answer.problems);
    });
  useEffect(fetch_code, []);
  useEffect(() => {
    const svg = join ? drawing_of(join.qr_svg) : null;
    svg?.setAttribute("role", "img");
    svg?.setAttribute("aria-label", "Code that a phone's camera reads");
    if (svg) code.current?.replaceChildren(svg);
  }, [join]);
  return (
    <section class="join" aria-label="Join a phone">
      <Problems list={problems} />
      {problems.length > 0 && (
        <p>
          Start the program with <code>loomgraft serve --lan</code> to let devices of your own network join.
        </p>
      )}
      {join && (
        <>
          <div class="qr" ref={code} />
          <p>
            Scan it with the phone's camera, on the same network. It works once and for a few minutes; or open{" "}
            <strong>{join.address}</strong> and enter <strong class="token">{join.token}</strong>.
          </p>
          <button type="button" onClick={fetch_code}>
            New code
          </button>
        </>
      )}
    </section>
  );
}
