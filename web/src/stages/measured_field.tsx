// A measured fact of a wire or device, edited in place.

import type { Graft } from "../api_types";
import { show_message } from "../message";
import { fact_text, type Member, set_fact, subject_text } from "../model/measured";
import { change } from "../net/edit";
import { Field, number_of } from "../parts/field";

interface Props {
  doc: Graft;
  subject: string;
  member: Member;
  hint?: string;
  hidden_label?: boolean;
}

function save_number(doc: Graft, subject: string, member: Member, text: string): void {
  const value = number_of(text);
  const what = `${member.text} of ${subject_text(doc, subject)}`;
  if (value === null) show_message(`“${text}” is not a ${member.text} in ${member.unit}. Enter a number above zero.`, "error");
  else void change(what, (now) => set_fact(now, subject, member.member, value));
}

export function MeasuredField({ doc, subject, member, hint, hidden_label = false }: Props) {
  return (
    <Field
      label={member.text}
      value={fact_text(doc, subject, member.member)}
      unit={member.unit}
      numeric
      hint={hint ?? ""}
      keep={`${subject}.${member.member}`}
      hidden_label={hidden_label}
      take={(text) => save_number(doc, subject, member, text)}
    />
  );
}
