// A modal dialog; Escape and the close button close it.

import type { ComponentChildren } from "preact";
import { useEffect, useId, useRef } from "preact/hooks";

export function Dialog({ title, close, children }: { title: string; close: () => void; children: ComponentChildren }) {
  const box = useRef<HTMLDialogElement>(null);
  // Its "close" event comes later: another dialog that took its place must not be closed by it.
  const gone = useRef(false);
  const head = useId(); // a question may stand above another dialog
  useEffect(() => {
    const dialog = box.current;
    if (dialog && !dialog.open) dialog.showModal();
    return () => {
      gone.current = true;
      dialog?.close();
    };
  }, []);
  return (
    <dialog ref={box} aria-labelledby={head} onCancel={close} onClose={() => !gone.current && close()}>
      <div class="dialog-head">
        <h2 id={head}>{title}</h2>
        <button type="button" onClick={close}>
          Close
        </button>
      </div>
      {children}
    </dialog>
  );
}
