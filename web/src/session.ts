import { signal } from "@preact/signals";
import type { Session } from "./api_types";

export const session = signal<Session | null>(null);
