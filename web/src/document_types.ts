// The document and what surrounds it: schema/graft.schema.json, docs/api.md. Members that hold nothing are left out.

export type Severity = "note" | "warning" | "error";

export interface Problem {
  severity: Severity;
  code: string;
  file?: string;
  line?: number;
  column?: number;
  pointer?: string;
  message: string;
  remedy?: string;
}

export interface Session {
  paired: boolean;
  device: string;
  loopback: boolean;
  version: string;
  folder: string;
}

export interface Join {
  address: string;
  token: string;
  expires: string;
  qr_svg: string;
  addresses: { address: string; qr_svg: string }[];
}

export interface GraftEntry {
  name: string;
  title: string;
  revision: number;
  changed: string;
  problems?: Problem[]; // why it cannot be opened
}

export interface Colour {
  base?: string;
  tracer?: string;
  raw?: string;
}

export interface Claim {
  source?: string;
  line?: number;
  column?: number;
  signal?: string;
  class?: string;
  colour?: Colour;
  proved?: boolean;
}

export interface Pin {
  connector: string;
  cavity: string;
  signal?: string;
  term?: string;
  class?: string;
  colour?: Colour;
  note?: string;
  far_end?: string;
  forbidden?: boolean;
  claims?: Claim[];
  doubts?: string[];
}

export const tag_names = ["generation", "diagnostics", "years", "market", "transmission", "board"] as const;
export type TagName = (typeof tag_names)[number];
export type Tags = Partial<Record<TagName, string>>;

export type Role = "other" | "found" | "donor";

export interface Module {
  id: string;
  name?: string;
  role?: Role;
  tags?: Tags;
  connectors?: string[];
  pins?: Pin[];
  legend?: string[];
}

export interface ConnectorRow {
  cavities?: string[];
  x_mm?: number;
  y_mm?: number;
  pitch_mm?: number;
  terminal_width_mm?: number;
}

export interface Connector {
  id: string;
  name?: string;
  part?: string;
  housing_colour?: string;
  view?: string;
  latch?: string;
  rows?: ConnectorRow[];
}

export interface Source {
  id: string;
  title?: string;
  kind?: string;
  weight?: number;
}

export interface End {
  at?: string;
  cavity?: string;
}

export interface Wire {
  id: string;
  signal?: string;
  from?: End;
  to?: End;
  colour?: Colour;
  area_mm2?: number;
  length_mm?: number;
  insulation?: string;
  along?: string[];
}

export interface Device {
  id: string;
  name?: string;
  kind?: string;
  model?: string;
  resistance_ohm?: number;
  inductance_mh?: number;
  rating_a?: number;
  current_a?: number;
  pull_in_v?: number;
  place?: string;
  forbidden?: boolean;
}

export interface PlanStep {
  action: "move" | "add" | "retire";
  wire?: string;
  from?: End;
  to?: End;
  added?: Wire;
  reason?: string;
}

export interface CavityRef {
  connector: string;
  cavity: string;
}

// What a person found out of a pin of the vehicle and one of a donor.
export interface CircuitAnswer {
  id: string;
  found: CavityRef;
  donor: CavityRef;
  different?: boolean;
}

export interface Graft {
  format: string;
  version: number;
  title?: string;
  vehicle?: { name?: string; supply_v?: number; market?: string; years?: string; transmission?: string };
  sources?: Source[];
  connectors?: Connector[];
  modules?: Module[];
  circuit_answers?: CircuitAnswer[];
  devices?: Device[];
  wires?: Wire[];
  plan?: PlanStep[];
  places?: { id: string; name?: string; access_min?: number }[];
  rules?: { set?: string };
}

export type Json = string | number | boolean | null | Json[] | { [name: string]: Json };

export interface PatchStep {
  op: "add" | "remove" | "replace" | "test";
  path: string;
  value?: Json;
}

export interface Revision {
  revision: number;
  kind: "edit" | "undo" | "redo";
  author: string;
  time: string;
  words: string;
  undone: boolean;
}
