// A table on its way in: pasted text, or a file's bytes as they are (the program finds out their encoding).

export interface Intake {
  name: string;
  text?: string;
  base64?: string;
}

const most_bytes = 16 * 1024 * 1024;

export function base64_of(bytes: Uint8Array): string {
  const chunk = 0x8000;
  let binary = "";
  for (let at = 0; at < bytes.length; at += chunk) binary += String.fromCharCode(...bytes.subarray(at, at + chunk));
  return btoa(binary);
}

export async function intake_of_file(file: File): Promise<Intake | string> {
  if (file.size > most_bytes) return `${file.name} is larger than ${most_bytes / 1024 / 1024} MB: cut the table out of it first.`;
  return { name: file.name, base64: base64_of(new Uint8Array(await file.arrayBuffer())) };
}

export const roles: readonly (readonly [string, string])[] = [
  ["cavity", "cavity"],
  ["connector", "connector"],
  ["signal", "signal or function"],
  ["colour", "wire colour"],
  ["class", "electrical kind"],
  ["far_end", "goes to"],
  ["note", "note"],
  ["ignore", "leave out"],
];

// The role as the select offers it: what the program understood may have a finer name.
export function role_shown(role: string): string {
  if (role === "pin_class" || role === "direction") return "class";
  if (role === "description" || role === "label") return "signal";
  return roles.some(([key]) => key === role) ? role : "ignore";
}
