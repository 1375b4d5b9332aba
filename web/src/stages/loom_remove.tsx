// Before something is removed: what refers to it, and that those references go in the same change.

import { Dialog } from "../parts/dialog";

interface Props {
  what: string;
  references: string[];
  take_out: () => void;
  close: () => void;
}

const most_shown = 12;

export function RemoveDialog({ what, references, take_out, close }: Props) {
  const more = references.length - most_shown;
  return (
    <Dialog title={`Remove ${what}?`} close={close}>
      <div class="stack">
        {references.length > 0 ? (
          <>
            <p>This refers to it:</p>
            <ul class="removal-list">
              {references.slice(0, most_shown).map((text, index) => (
                <li key={index}>{text}</li>
              ))}
              {more > 0 && <li>and {more} more</li>}
            </ul>
            <p class="soft">These references are cleared in the same change. Undo brings everything back.</p>
          </>
        ) : (
          <p>Nothing else refers to it. Undo brings it back.</p>
        )}
        <div class="buttons">
          <button type="button" class="primary" onClick={take_out}>
            {references.length > 0 ? "Remove, and clear the references" : "Remove"}
          </button>
          <button type="button" onClick={close}>
            Leave it
          </button>
        </div>
      </div>
    </Dialog>
  );
}
