// A button that asks for one file of this device.

import { useRef } from "preact/hooks";

interface Props {
  text: string;
  label: string; // of the file, for screen readers
  accept: string;
  take: (file: File) => void;
}

export function FileButton({ text, label, accept, take }: Props) {
  const file = useRef<HTMLInputElement>(null);
  return (
    <>
      <button type="button" onClick={() => file.current?.click()}>
        {text}
      </button>
      <input
        ref={file}
        class="visually-hidden"
        type="file"
        tabIndex={-1}
        aria-label={label}
        accept={accept}
        onChange={(event) => {
          const chosen = event.currentTarget.files?.[0];
          event.currentTarget.value = ""; // the same file may be chosen again
          if (chosen) take(chosen);
        }}
      />
    </>
  );
}
