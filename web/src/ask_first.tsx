// A question before something that cannot simply be taken back.

import { signal } from "@preact/signals";
import { Dialog } from "./parts/dialog";

interface Question {
  title: string;
  text: readonly string[];
  yes: string; // what is done then: "Log out"
  answer: (yes: boolean) => void;
}

const question = signal<Question | null>(null);

export function ask_first(title: string, text: readonly string[], yes: string): Promise<boolean> {
  question.peek()?.answer(false);
  return new Promise((answer) => {
    question.value = { title, text, yes, answer };
  });
}

export function AskFirst() {
  const now = question.value;
  if (!now) return null;
  const close = (yes: boolean) => {
    if (question.peek() === now) question.value = null;
    now.answer(yes);
  };
  return (
    <Dialog title={now.title} close={() => close(false)}>
      <div class="stack">
        {now.text.map((text) => (
          <p key={text}>{text}</p>
        ))}
        <div class="buttons">
          <button type="button" onClick={() => close(false)}>
            Leave it as it is
          </button>
          <button type="button" class="primary" onClick={() => close(true)}>
            {now.yes}
          </button>
        </div>
      </div>
    </Dialog>
  );
}
