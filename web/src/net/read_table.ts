// Reads a table without storing anything: what the program understands of it, read again whenever it changes.

import { useEffect, useState } from "preact/hooks";
import type { ColumnRole, Problem, ReadReport } from "../api_types";
import type { TableInput } from "../model/table_input";
import { ask } from "./request";

export interface TableReading {
  report: ReadReport | null;
  problems: Problem[]; // why nothing could be read
  busy: boolean;
}

const nothing: TableReading = { report: null, problems: [], busy: false };
const retry_ms = 3000;

// `pause_ms`: how long a person must have stopped typing. Null reads nothing.
export function use_table_reading(input: TableInput | null, columns: Record<string, ColumnRole>, pause_ms = 0): TableReading {
  const [state, set_state] = useState<TableReading>(nothing);
  const body = input ? JSON.stringify({ ...input, columns }) : "";
  useEffect(() => {
    if (!body) {
      set_state(nothing);
      return;
    }
    const control = new AbortController();
    set_state((before) => ({ ...before, busy: true }));
    const read = async () => {
      const answer = await ask<ReadReport>("/api/tables", { method: "POST", body: JSON.parse(body) as unknown, signal: control.signal });
      if (control.signal.aborted) return;
      if (answer.ok) set_state({ report: answer.value, problems: [], busy: false });
      else set_state({ report: null, problems: answer.problems, busy: false });
      // The connection was lost: what was pasted is read when it is back.
      if (!answer.ok && answer.status === 0) timer = window.setTimeout(() => void read(), retry_ms);
    };
    let timer = window.setTimeout(() => void read(), pause_ms);
    return () => {
      window.clearTimeout(timer);
      control.abort();
    };
  }, [body, pause_ms]);
  return state;
}
