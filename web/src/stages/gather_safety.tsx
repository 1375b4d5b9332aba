// Parts that may belong to restraint systems or high voltage: asked about, answered with a name, and the answers kept.

import { useState } from "preact/hooks";
import type { CheckReport, Graft, PresumedPart, SafetyAnswer } from "../api_types";
import { use_draft } from "../drafts";
import { answer_safety, part_key, remove_safety_answer } from "../model/safety";
import { change } from "../net/edit";
import { use_report } from "../net/report";
import { Mark } from "../parts/mark";
import { ShowAll, use_shortened } from "../parts/shortened";
import { route, route_to } from "../route";
import { author } from "../settings";

const kind_text: Record<PresumedPart["kind"], string> = {
  restraint: "a restraint system: airbag or belt tensioner",
  high_voltage: "high voltage",
  interlock: "the loop that switches high voltage off",
};

const check_path = "/reports/check";
const shown_at_first = 4;

function Ask({ graft, part }: { graft: Graft; part: PresumedPart }) {
  const [note, set_note, drop_note] = use_draft(route.value.graft, `safety.${part_key(part)}`, "");
  const [by, set_by] = useState(graft.job?.by ?? author.value);
  const answer = (harmless: boolean) =>
    void change(`${part.name}: ${harmless ? "no restraint or high-voltage circuit" : "left alone"}`, (now) =>
      answer_safety(now, part, { harmless, by: by.trim(), note: note.trim(), time: new Date().toISOString() }),
    ).then((saved) => saved && drop_note());
  const signed = by.trim() !== "";
  return (
    <li class="stack">
      <h3>{part.name}</h3>
      <p>
        It says <q>{part.said}</q>. This may be {kind_text[part.kind]}.
      </p>
      <div class="row">
        <label class="field">
          <span class="field-name">How it was found out</span>
          <input value={note} size={28} onInput={(event) => set_note(event.currentTarget.value)} />
        </label>
        <label class="field">
          <span class="field-name">Who found it out</span>
          <input value={by} size={14} onInput={(event) => set_by(event.currentTarget.value)} />
        </label>
      </div>
      <div class="buttons">
        <button type="button" class="primary" onClick={() => answer(false)}>
          It is one: leave it alone
        </button>
        <button type="button" disabled={!signed || note.trim() === ""} onClick={() => answer(true)}>
          It is none: go on
        </button>
      </div>
    </li>
  );
}

const date_of = (time: string | undefined) => (time ?? "").slice(0, 16).replace("T", " ");

function Answer({ answer }: { answer: SafetyAnswer }) {
  return (
    <li>
      <q>{answer.said}</q>: {answer.harmless ? "no restraint or high-voltage circuit" : "left alone"}. {answer.by} {date_of(answer.time)}
      {answer.note && `, ${answer.note}`}{" "}
      <button
        type="button"
        class="link-button"
        onClick={() => void change(`the answer about "${answer.said}"`, (now) => remove_safety_answer(now, answer.id))}
      >
        Ask again
      </button>
    </li>
  );
}

export function SafetyQuestions({ graft }: { graft: Graft }) {
  const report = use_report<CheckReport>(check_path);
  const presumed = report.value?.presumed ?? [];
  const answers = graft.safety_answers ?? [];
  const { shown, rest, show_all } = use_shortened(presumed, shown_at_first);
  if (presumed.length === 0 && answers.length === 0) return null;
  return (
    <section class="sheet stack" aria-label="Restraint and high-voltage circuits">
      <h2>
        {presumed.length > 0 ? <Mark name="clash" bare text="leave alone" /> : <Mark name="passes" bare text="answered" />} Restraint and
        high-voltage circuits
      </h2>
      {presumed.length > 0 && (
        <p>
          Nothing on these is planned, measured, moved or driven until you answer. Look it up in the maker's diagram; do not probe. Work on
          such circuits is for trained people with the maker's procedure.
        </p>
      )}
      <ol class="disagreements">
        {shown.map((part) => (
          <Ask key={part_key(part)} graft={graft} part={part} />
        ))}
      </ol>
      <ShowAll rest={rest} count={presumed.length} show_all={show_all} />
      {answers.length > 0 && (
        <ul>
          {answers.map((answer) => (
            <Answer key={answer.id} answer={answer} />
          ))}
        </ul>
      )}
    </section>
  );
}

// On every other stage: that there is something to answer, and where.
export function SafetyNotice() {
  const report = use_report<CheckReport>(check_path);
  const count = report.value?.presumed.length ?? 0;
  if (count === 0) return null;
  return (
    <p class="safety-notice" role="note">
      <Mark name="clash" bare text="leave alone" /> {count === 1 ? "1 part" : `${count} parts`} may belong to a restraint system or to high
      voltage. Nothing on {count === 1 ? "it" : "them"} is planned or measured.{" "}
      <a href={route_to(route.value.graft, "gather")}>Answer under Gather</a>
    </p>
  );
}
