// Printing: the drawings are fetched in black ink first, so that nothing is lost on a black and white printer.

import { signal } from "@preact/signals";

export const black_ink = signal(false);

const longest_wait_ms = 8000;
const poll_ms = 50;

// The attribute data-ink says which ink a drawing has (parts/drawing.tsx), or that it is not loaded yet
// (parts/printed_sheets.tsx).
function ready_to_print(): boolean {
  return Array.from(document.querySelectorAll<HTMLElement>(".drawing-box")).every(
    (box) => !["colour", "waiting"].includes(box.dataset.ink ?? ""),
  );
}

// Printing from the browser's menu too: what is folded on the screen is printed.
window.addEventListener("beforeprint", () => {
  black_ink.value = true;
});
window.addEventListener("afterprint", () => {
  black_ink.value = false;
});

export function print_black(): void {
  black_ink.value = true;
  const started = performance.now();
  const print_when_ready = () => {
    if (ready_to_print() || performance.now() - started >= longest_wait_ms) window.print();
    else window.setTimeout(print_when_ready, poll_ms);
  };
  // After two frames the page has been rendered again, with what it adds for paper.
  window.requestAnimationFrame(() => window.requestAnimationFrame(print_when_ready));
}

export function PrintButton({ what }: { what: string }) {
  return (
    <button type="button" class="no-print" onClick={print_black}>
      Print {what}
    </button>
  );
}
