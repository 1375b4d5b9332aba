// Another device changed the same thing meanwhile: what it did, and the choice to do one's own again.

import { Dialog } from "./parts/dialog";
import { Problems } from "./parts/problems";
import { clash } from "./net/edit";

export function ClashDialog() {
  const now = clash.value;
  if (!now) return null;
  const close = () => (clash.value = null);
  return (
    <Dialog title="Changed meanwhile" close={close}>
      <p>
        Your change “{now.words}” was not made: somebody else changed the same thing first. The page now shows theirs.
      </p>
      {/* Its place in the document says nothing to a person: the words name it. */}
      <Problems list={now.problems.map(({ pointer: _, ...problem }) => problem)} />
      <div class="buttons">
        <button type="button" onClick={close}>
          Leave theirs
        </button>
        <button
          type="button"
          class="first"
          onClick={() => {
            close();
            now.again();
          }}
        >
          Do mine again
        </button>
      </div>
    </Dialog>
  );
}
