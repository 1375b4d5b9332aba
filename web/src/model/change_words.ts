// A change in words: the program joins what a person did and what that changed, item by item, with semicolons.

export function in_short(words: string): { first: string; rest: string[] } {
  const [first = "", ...rest] = words.split("; ");
  return { first, rest };
}

export function in_one_line(words: string): string {
  const { first, rest } = in_short(words);
  if (rest.length === 0) return first;
  return `${first}, and ${rest.length} more ${rest.length === 1 ? "change" : "changes"}`;
}
