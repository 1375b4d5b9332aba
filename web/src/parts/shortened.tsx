// A long list shows its first items and a button for the rest. On paper it is whole.

import { useState } from "preact/hooks";
import { black_ink } from "./print";

interface Shortened<T> {
  shown: T[];
  rest: number;
  show_all: () => void;
}

// `keep` says which further items are shown in any case.
export function use_shortened<T>(list: readonly T[], at_first: number, keep: (item: T) => boolean = () => false): Shortened<T> {
  const [all, set_all] = useState(false);
  // A button that would show one more is not worth its place.
  const whole = all || black_ink.value || list.length <= at_first + 1;
  const shown = whole ? [...list] : list.filter((item, index) => index < at_first || keep(item));
  return { shown, rest: list.length - shown.length, show_all: () => set_all(true) };
}

export function ShowAll({ rest, show_all, count, what = "" }: { rest: number; show_all: () => void; count: number; what?: string }) {
  if (rest === 0) return null;
  return (
    <button type="button" class="show-all no-print" onClick={show_all}>
      Show all {count}
      {what && ` ${what}`}
    </button>
  );
}
