// Changes of a circuit that the program makes: taking a recipe, putting a part into a wire, a remedy. One revision each,
// so that undo takes back the whole of it.

import type { CircuitChange, CircuitChanged } from "../api_types";
import { show_message } from "../message";
import { post } from "./edit";

export async function change_circuit(text: string, change: CircuitChange): Promise<CircuitChanged | null> {
  const done = await post<CircuitChanged>(text, "/circuits", { ...change, text });
  const open = done?.problems.filter((problem) => problem.severity !== "note") ?? [];
  const [first] = open;
  if (first) {
    const more = open.length > 1 ? ` (and ${open.length - 1} more)` : "";
    show_message(`${first.message} ${first.remedy ?? ""}${more}`);
  }
  return done;
}
