// Printing: the drawings are fetched in black ink first, so that a black and white printer loses nothing.

import { signal } from "@preact/signals";

export const black_ink = signal(false);

const longest_wait_ms = 8000;
const look_ms = 50;

// Every drawing says in what ink it is there (parts/drawing.tsx), or that it is not there yet (parts/printed_sheets.tsx).
function all_black(): boolean {
  return Array.from(document.querySelectorAll<HTMLElement>(".drawing-box")).every((box) => !["colour", "waiting"].includes(box.dataset["ink"] ?? ""));
}

// The browser's own way to print: what is folded away on the screen goes to the paper too.
window.addEventListener("beforeprint", () => (black_ink.value = true));
window.addEventListener("afterprint", () => (black_ink.value = false));

export function print_black(): void {
  black_ink.value = true;
  const started = performance.now();
  const look = () => {
    if (!all_black() && performance.now() - started < longest_wait_ms) return void window.setTimeout(look, look_ms);
    window.print();
  };
  // Two frames later the page has been drawn anew, and what it added for paper stands in it.
  window.requestAnimationFrame(() => window.requestAnimationFrame(look));
}

export function PrintButton({ what }: { what: string }) {
  return (
    <button type="button" class="no-print" onClick={print_black}>
      Print {what}
    </button>
  );
}
