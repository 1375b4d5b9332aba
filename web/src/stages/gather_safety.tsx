// Parts that may belong to restraint systems or high voltage: asked about, answered with a name, and the answers kept.

import { useState } from "preact/hooks";
import type { CheckReport, Graft, PresumedPart, SafetyAnswer } from "../api_types";
import { use_draft } from "../drafts";
import { check_path } from "../findings";
import { answer_safety, answered_together, part_key, places_of, remove_safety_answers, safety_questions } from "../model/safety";
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

const shown_at_first = 4;

// The first part of a question stands for all of it.
interface AskProps {
  graft: Graft;
  parts: readonly PresumedPart[];
  part: PresumedPart;
}

function Ask({ graft, parts, part }: AskProps) {
  const [note, set_note, drop_note] = use_draft(route.value.graft, `safety.${part_key(part)}`, "");
  const [by, set_by] = useState(graft.job?.by ?? author.value);
  const answer = (harmless: boolean) =>
    void change(`“${part.said}”: ${harmless ? "no restraint or high-voltage circuit" : "left alone"}`, (now) =>
      answer_safety(now, parts, { harmless, by: by.trim(), note: note.trim(), time: new Date().toISOString() }),
    ).then((saved) => saved && drop_note());
  const signed = by.trim() !== "";
  return (
    <li class="stack">
      <h3>{part.said}</h3>
      <p>
        It says so at {places_of(graft, parts)}. This may be {kind_text[part.kind]}.
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

function Answer({ answer, ids }: { answer: SafetyAnswer; ids: ReadonlySet<string> }) {
  return (
    <li>
      <q>{answer.said}</q>: {answer.harmless ? "no restraint or high-voltage circuit" : "left alone"}. {answer.by} {date_of(answer.time)}
      {answer.note && `, ${answer.note}`}{" "}
      <button
        type="button"
        class="link-button"
        onClick={() => void change(`the answer about "${answer.said}"`, (now) => remove_safety_answers(now, ids))}
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
  const questions = safety_questions(presumed);
  const { shown, rest, show_all } = use_shortened(questions, shown_at_first);
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
        {shown.map((parts) => parts[0] && <Ask key={part_key(parts[0])} graft={graft} parts={parts} part={parts[0]} />)}
      </ol>
      <ShowAll rest={rest} count={questions.length} show_all={show_all} />
      {answers.length > 0 && (
        <ul>
          {answered_together(answers).map((group) => {
            const ids = new Set(group.map(({ id }) => id));
            return group[0] && <Answer key={group[0].id} answer={group[0]} ids={ids} />;
          })}
        </ul>
      )}
    </section>
  );
}

// On every other stage: that there is something to answer, and where.
export function SafetyNotice() {
  const report = use_report<CheckReport>(check_path);
  const count = safety_questions(report.value?.presumed ?? []).length;
  if (count === 0) return null;
  return (
    <p class="safety-notice" role="note">
      <Mark name="clash" bare text="leave alone" /> {count === 1 ? "1 circuit" : `${count} circuits`} may belong to a restraint system or to
      high voltage. Nothing on {count === 1 ? "it" : "them"} is planned or measured.{" "}
      <a href={route_to(route.value.graft, "gather")}>Answer under Gather</a>
    </p>
  );
}
