// File names of grafts.

// Makes a file name from a title: letters and digits, joined by hyphens; a name that is not taken yet.
export function name_from(title: string, taken: readonly string[]): string {
  const plain = title
    .normalize("NFKD")
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, "-")
    .replace(/^-+|-+$/g, "")
    .slice(0, 48);
  const base = plain || "graft";
  let name = base;
  for (let count = 2; taken.includes(name); count += 1) name = `${base}-${count}`;
  return name;
}
