// What one revision changed, as the API lists it: first what the person did, then the items that it touched.

export interface ChangeList {
  text: string;
  changes?: readonly string[];
}

export const changes_of = ({ text, changes = [] }: ChangeList): readonly string[] => (changes.length > 0 ? changes : [text]);

export function in_one_line(list: ChangeList): string {
  const [first = "", ...more] = changes_of(list);
  if (more.length === 0) return first;
  return `${first}, and ${more.length} more ${more.length === 1 ? "change" : "changes"}`;
}
