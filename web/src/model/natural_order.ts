// The order in which people list names: C2 before C10.

const collator = new Intl.Collator("en", { numeric: true, sensitivity: "base" });

export const compare_names = (a: string, b: string): number => collator.compare(a, b);
