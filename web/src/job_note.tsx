// The note of a job: several lines, saved when the field is left; kept while it is half-typed.

import { use_draft } from "./drafts";

export function JobNote({ graft, value, take }: { graft: string; value: string; take: (note: string) => void }) {
  const [text, set_text, drop] = use_draft(graft, "job.note", value);
  const done = () => {
    if (text.trim() !== value) take(text.trim());
    drop();
  };
  return (
    <label class="field">
      <span class="field-name">Note</span>
      <textarea class="plain" rows={3} value={text} onInput={(event) => set_text(event.currentTarget.value)} onBlur={done} />
    </label>
  );
}
