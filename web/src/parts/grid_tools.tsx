// The buttons above a table of cells: find, add, copy, remove, fill down, select by touch.

import type { ComponentChildren } from "preact";

interface Props {
  label: string;
  find: string;
  set_find: (text: string) => void;
  shown: number;
  all: number;
  fill: () => void;
  selecting: boolean;
  set_selecting: (on: boolean) => void;
  add?: (() => void) | undefined;
  duplicate?: (() => void) | undefined;
  remove?: (() => void) | undefined;
  one: string; // "wire"
  children?: ComponentChildren;
}

export function GridTools({
  label,
  find,
  set_find,
  shown,
  all,
  fill,
  selecting,
  set_selecting,
  add,
  duplicate,
  remove,
  one,
  children,
}: Props) {
  return (
    <div class="grid-tools" role="toolbar" aria-label={`Tools of ${label}`}>
      <label class="field grid-find">
        <span class="visually-hidden">Find in {label}</span>
        <input type="search" value={find} placeholder="Find" onInput={(event) => set_find(event.currentTarget.value)} />
      </label>
      {find !== "" && (
        <span class="soft" role="status">
          {shown} of {all}
        </span>
      )}
      {add && (
        <button type="button" onClick={add}>
          Add a {one}
        </button>
      )}
      {duplicate && (
        <button type="button" onClick={duplicate} disabled={shown === 0}>
          Duplicate
        </button>
      )}
      {remove && (
        <button type="button" onClick={remove} disabled={shown === 0}>
          Remove
        </button>
      )}
      <button type="button" onClick={fill} disabled={shown === 0}>
        Fill down
      </button>
      <button type="button" class="grid-touch" aria-pressed={selecting} onClick={() => set_selecting(!selecting)}>
        Select several
      </button>
      {children}
    </div>
  );
}
