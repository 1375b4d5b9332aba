// A measured fact of a wire or device, edited in place.

import type { Graft } from "../api_types";
import { fact, state, subject_words, type Member } from "../model/measured";
import { change } from "../net/edit";
import { Field, number_of } from "../parts/field";
import { say } from "../say";

interface Props {
  doc: Graft;
  subject: string;
  member: Member;
  hint?: string;
  unseen_label?: boolean;
}

export function take_number(doc: Graft, subject: string, member: Member, text: string): void {
  const value = number_of(text);
  const what = `${member.words} of ${subject_words(doc, subject)}`;
  if (value === null) say(`“${text}” is no ${member.words} in ${member.unit}: write a number above zero.`, "error");
  else void change(what, (now) => state(now, subject, member.member, value));
}

export function MeasuredField({ doc, subject, member, hint, unseen_label = false }: Props) {
  return (
    <Field
      label={member.words}
      value={fact(doc, subject, member.member)}
      unit={member.unit}
      numeric
      hint={hint ?? ""}
      unseen_label={unseen_label}
      take={(text) => take_number(doc, subject, member, text)}
    />
  );
}
