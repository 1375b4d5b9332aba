// Shown when another device changed the same thing first: what it did, and a button to apply one's own change again.

import { conflict } from "./net/edit";
import { Dialog } from "./parts/dialog";
import { Problems } from "./parts/problems";

export function ConflictDialog() {
  const now = conflict.value;
  if (!now) return null;
  const close = () => {
    conflict.value = null;
  };
  return (
    <Dialog title="Changed by someone else" close={close}>
      <p>Your change “{now.text}” was not saved: someone else changed the same thing first. The page now shows their change.</p>
      {/* The JSON pointer means nothing to a person; the message names what it was. */}
      <Problems list={now.problems.map(({ pointer: _, ...problem }) => problem)} />
      <div class="buttons">
        <button type="button" onClick={close}>
          Keep theirs
        </button>
        <button
          type="button"
          class="primary"
          onClick={() => {
            close();
            now.again();
          }}
        >
          Apply mine again
        </button>
      </div>
    </Dialog>
  );
}
