// The cell that is being edited: an input, and below it what the typed text can be completed to.

import { useId, useLayoutEffect, useRef, useState } from "preact/hooks";
import type { GridChoice, GridColumn, GridRow } from "./grid_types";

export type Leave = "down" | "up" | "right" | "left" | "stay";

interface Props<Row extends GridRow> {
  row: Row;
  column: GridColumn<Row>;
  initial: string; // what is in the input at first
  fresh: boolean; // the first key replaced the old text
  refused: string;
  commit: (text: string, leave: Leave) => void;
  cancel: () => void;
  typing: (text: string) => void;
}

const most_choices = 60;

// The part at the end of the text that is being completed, and what stands before it.
function last_part(text: string, joiner: string | undefined): [string, string] {
  if (!joiner) return ["", text];
  const at = text.lastIndexOf(joiner.trim());
  if (at < 0) return ["", text];
  const end = at + joiner.trim().length;
  const spaces = /^\s*/.exec(text.slice(end))?.[0].length ?? 0;
  return [text.slice(0, end + spaces), text.slice(end + spaces)];
}

export function completions(choices: readonly GridChoice[], typed: string): GridChoice[] {
  const words = typed.toLowerCase().split(/\s+/).filter(Boolean);
  const text = typed.trim().toLowerCase();
  const rank = (choice: GridChoice) => (choice.text.toLowerCase().startsWith(text) ? 0 : 1);
  const matching = choices.filter((choice) => {
    const all = `${choice.text} ${choice.hint ?? ""}`.toLowerCase();
    return words.every((word) => all.includes(word));
  });
  return matching.sort((a, b) => rank(a) - rank(b)).slice(0, most_choices);
}

const keys_that_leave: Record<string, [Leave, Leave]> = { Enter: ["down", "up"], Tab: ["right", "left"] };

// The popup stands under the cell, or above it where there is more space; the table's own scrolling must not clip it.
function place_popup(list: HTMLElement | null, input: HTMLElement | null): void {
  if (!list || !input) return;
  const box = input.getBoundingClientRect();
  const width = Math.min(Math.max(box.width, 260), window.innerWidth - 16);
  const below = window.innerHeight - box.bottom;
  list.style.width = `${width}px`;
  list.style.left = `${Math.max(8, Math.min(box.left, window.innerWidth - width - 8))}px`;
  list.style.maxHeight = `${Math.max(120, Math.min(320, Math.max(below, box.top) - 12))}px`;
  const above = below < 200 && box.top > below;
  list.style.top = above ? "auto" : `${box.bottom + 2}px`;
  list.style.bottom = above ? `${window.innerHeight - box.top + 2}px` : "auto";
}

export function GridEditor<Row extends GridRow>({ row, column, initial, fresh, refused, commit, cancel, typing }: Props<Row>) {
  const [text, set_text] = useState(initial);
  const [picked, set_picked] = useState(-1);
  const [touched, set_touched] = useState(fresh);
  const input = useRef<HTMLInputElement>(null);
  const popup = useRef<HTMLDivElement>(null);
  const list = useRef<HTMLUListElement>(null);
  const id = useId();
  const refused_id = `${id}-refused`;
  const [head, tail] = last_part(text, column.joiner);
  const all = column.choices?.(row) ?? [];
  // An unchanged text is no search: everything is on offer.
  const offered = completions(all, touched ? tail : "");
  const open = offered.length > 0 && !(offered.length === 1 && offered[0]?.text === tail);

  // Before the next key arrives: it belongs into the input.
  useLayoutEffect(() => {
    input.current?.focus({ preventScroll: true });
    if (!fresh) input.current?.select();
    else input.current?.setSelectionRange(initial.length, initial.length);
  }, []);
  useLayoutEffect(() => {
    const place = () => place_popup(popup.current, input.current);
    place();
    window.addEventListener("scroll", place, true);
    window.addEventListener("resize", place);
    return () => {
      window.removeEventListener("scroll", place, true);
      window.removeEventListener("resize", place);
    };
  }, [open, offered.length, refused]);
  useLayoutEffect(() => {
    list.current?.children[picked]?.scrollIntoView({ block: "nearest" });
  }, [picked]);

  const take = (choice: GridChoice) => `${head}${choice.text}`;
  const leave = (wanted: string, where: Leave) => commit(wanted, where);
  const on_key = (event: KeyboardEvent) => {
    event.stopPropagation();
    const leaving = keys_that_leave[event.key];
    if (event.isComposing) return;
    if (leaving) {
      event.preventDefault();
      const choice = offered[picked];
      leave(choice ? take(choice) : text, event.shiftKey ? leaving[1] : leaving[0]);
    } else if (event.key === "Escape") {
      event.preventDefault();
      cancel();
    } else if (open && event.key === "ArrowDown") {
      event.preventDefault();
      set_picked((now) => Math.min(now + 1, offered.length - 1));
    } else if (open && event.key === "ArrowUp") {
      event.preventDefault();
      set_picked((now) => Math.max(now - 1, -1));
    }
  };
  return (
    <>
      <input
        ref={input}
        class="grid-input"
        value={text}
        inputMode={column.kind === "number" && !column.joiner ? "decimal" : "text"}
        autocomplete="off"
        spellcheck={false}
        aria-label={column.head}
        aria-invalid={refused !== ""}
        aria-describedby={refused ? refused_id : undefined}
        role={all.length > 0 ? "combobox" : undefined}
        aria-expanded={all.length > 0 ? open : undefined}
        aria-controls={open ? `${id}-list` : undefined}
        aria-autocomplete={all.length > 0 ? "list" : undefined}
        aria-activedescendant={open && picked >= 0 ? `${id}-${picked}` : undefined}
        onInput={(event) => {
          set_text(event.currentTarget.value);
          set_touched(true);
          set_picked(-1);
          typing(event.currentTarget.value);
        }}
        onKeyDown={on_key}
        onBlur={() => leave(text, "stay")}
      />
      {(open || refused) && (
        <div class="grid-popup" ref={popup}>
          {refused && (
            <p class="grid-refused" role="alert" id={refused_id}>
              {refused}
            </p>
          )}
          {open && (
            <ul class="grid-choices" id={`${id}-list`} role="listbox" aria-label={`Choices for ${column.head}`} ref={list}>
              {offered.map((choice, index) => (
                <li
                  key={`${index} ${choice.text}`}
                  id={`${id}-${index}`}
                  role="option"
                  aria-selected={index === picked}
                  onPointerDown={(event) => event.preventDefault()}
                  onClick={() => leave(take(choice), "stay")}
                >
                  {choice.text} {choice.hint && <span class="soft">{choice.hint}</span>}
                </li>
              ))}
            </ul>
          )}
        </div>
      )}
    </>
  );
}
