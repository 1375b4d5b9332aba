// The picture of the plug beside a tab; on a phone above it, to fold away, in a window that slides sideways.

import { useLayoutEffect, useRef, useState } from "preact/hooks";
import type { CavityRef } from "../api_types";
import { connector_name } from "../model/document";
import { Drawing } from "../parts/drawing";
import { Choice } from "../parts/field";
import { compared_face, type FaceProps, highlighted_in, narrow, sides, use_face } from "./compare_face";

interface Props extends FaceProps {
  pick: (cavity: CavityRef) => void;
}

const one_side = sides.filter(([side]) => side !== "both");

// Brings the chosen cavity into the window of the slide.
export function slide_to(slide: HTMLElement | null): void {
  const cavity = slide?.querySelector(".cavity.highlighted");
  if (!slide || !cavity) return;
  const box = cavity.getBoundingClientRect();
  const window_box = slide.getBoundingClientRect();
  slide.scrollLeft += box.left + box.width / 2 - (window_box.left + window_box.width / 2);
}

// Folded or not is the same for every tab and stays while the page is open.
let folded = false;

export function Picture(props: Props) {
  const { plugs, donor, at, chosen, pick } = props;
  const { plug, set_open, side, set_side } = use_face(props);
  const [open, set_unfolded] = useState(!folded);
  const [drawn, set_drawn] = useState(0);
  const slide = useRef<HTMLDivElement>(null);
  useLayoutEffect(() => slide_to(slide.current), [drawn, plug?.id, at.connector, at.cavity, open]);
  if (!plug) return null;
  const name = connector_name(plug);
  const small = narrow();
  const drawing = (
    <Drawing
      path={compared_face(plug, side, donor, small)}
      label={`Face of ${name}`}
      part="data-cavity"
      highlighted={highlighted_in(name, chosen, at)}
      pick={(cavity) => pick({ connector: name, cavity })}
      crop={small ? ".cavity" : ""}
      drawn={() => set_drawn((count) => count + 1)}
    />
  );
  const choices = (
    <div class="picture-choices no-print">
      <Choice label="Plug" value={plug.id} choices={plugs.map((one) => [one.id, connector_name(one)] as const)} take={set_open} />
      <Choice label="Seen from" value={side} choices={small ? one_side : sides} take={set_side} />
    </div>
  );
  if (!small) {
    return (
      <section class="sheet face" aria-label="Plug faces">
        <h2>Plug {name}</h2>
        {choices}
        {drawing}
      </section>
    );
  }
  const take_fold = (unfolded: boolean) => {
    folded = !unfolded;
    set_unfolded(unfolded);
  };
  return (
    <details class="sheet face" open={open} onToggle={(event) => take_fold(event.currentTarget.open)}>
      <summary>
        <strong>Plug {name}</strong>, {sides.find(([key]) => key === side)?.[1]}
      </summary>
      <div class="face-slide" ref={slide} tabIndex={0} role="region" aria-label={`Plug ${name}, slides sideways`}>
        {drawing}
      </div>
      {choices}
    </details>
  );
}
