// The reports that the program makes of a document: docs/api.md.

import type { CavityRef, Colour, Problem } from "./document_types";

// Tables

export interface TablePin {
  connector: string;
  cavity: string;
  signal: string;
  class: string;
  colour: Colour;
  note: string;
  far_end: string;
  source: { file: string; line: number; column: number };
  doubts: string[];
}

export interface TableColumn {
  head: string;
  role: string;
  doubt?: string;
}

export interface ReadTable {
  name: string;
  connectors: { name: string; part: string; cavities: string[] }[];
  pins: TablePin[];
  legend: string[];
  columns?: TableColumn[];
  rows_preview?: string[][];
}

// A table of the source that was no pin table, with what was made of its columns.
export interface LeftTable {
  name: string;
  line: number;
  reason: string;
  columns: TableColumn[];
  rows_preview: string[][];
}

export interface ReadReport {
  tables: ReadTable[];
  left?: LeftTable[];
  problems: Problem[];
}

// Comparison and ranking

export const verdicts = ["clash", "unsure", "add", "shift", "retire", "keep"] as const;
export type Verdict = (typeof verdicts)[number];
export type Grade = "harmless" | "false_signal" | "damage" | "fire";
export type Summary = Record<Verdict, number>;

export interface PinName {
  connector: string;
  cavity: string;
  signal: string;
}

export interface Hazard {
  grade: Grade;
  current_a: number | null;
  voltage_v: number | null;
  energy_mj: number | null;
  limit: string;
  loom_state: string;
  pin_state: string;
  meets: PinName | null;
  assumed: boolean;
  reason: string;
}

export interface Circuit {
  verdict: Verdict;
  signal: string;
  found: PinName | null;
  donor: PinName | null;
  confidence: number;
  hazard: Hazard;
  why: string[];
  decided?: boolean; // a person said that the two are one circuit
}

export interface Move {
  step: number;
  action: string;
  from: CavityRef | null;
  to: CavityRef | null;
  signal: string;
  note: string;
}

export interface Question {
  connector: string;
  cavity: string;
  signal: string;
  question: string;
  answer_by: string;
  weight: number;
  same_as?: PinName; // the donor's pin, where it is asked whether the two are one circuit
  measure?: Measure; // answer_by as a measurement, claim by claim
}

export interface Measure {
  instruction: string;
  shows: { claims: number[]; reading: string }[]; // claims by their place in the pin
  settles: boolean;
}

export interface TagFinding {
  what: string;
  found: string;
  donor: string;
  weight: "note" | "attention" | "stop";
  reason: string;
  source: string;
}

export interface CompareReport {
  found: string;
  donor: string;
  circuits: Circuit[];
  moves: Move[];
  move_counts: Record<string, number>;
  adapter: { wires: number; crossed: number; joints: number; reversible: boolean; limits: string[] };
  questions: Question[];
  tags: TagFinding[];
  summary: Summary;
  problems: Problem[];
}

export interface RankedDonor {
  id: string;
  name: string;
  points: number;
  tag_points: number;
  summary: Summary;
  hazards: { fire: number; damage: number; false_signal: number };
  tags: TagFinding[];
}

export interface RankReport {
  donors: RankedDonor[];
  considered: number;
  compared_in_full: number;
  problems: Problem[];
}

export interface CheckReport {
  usable: boolean;
  problems: Problem[];
}

// Plug finder

export interface Sighting {
  row: number;
  column: number;
  colour?: string;
  empty?: boolean;
  large?: boolean;
}

export interface PlugQuery {
  seen: Sighting[];
  latch?: string;
  side?: string;
}

export interface PlugReport {
  hypotheses: { connector: string; view: string; turned: boolean; probability: number }[];
  certain: boolean;
  next: { row: number; column: number; information_bits: number }[];
  cavity_one: string;
  places: { row: number; column: number; cavity: string }[];
  problems: Problem[];
}

// Design

export interface WhyInput {
  name: string;
  value: string;
  from: string;
}

export interface Check {
  check: string;
  subject: string;
  words: string;
  condition: string;
  value: number | null;
  limit: number | null;
  unit: string;
  bound: "at_most" | "at_least";
  margin: number | null;
  holds: boolean;
  binds: boolean;
  assumed: boolean;
  why: { formula: string; source: string; inputs: WhyInput[] };
}

export interface WireDesign {
  wire: string;
  signal: string;
  length_mm: number | null;
  length_assumed: boolean;
  stated_mm2: number | null;
  least_mm2: number | null;
  least_awg: string;
  bound_by: string;
  fuse: string | null; // that a short in this wire would blow
  insulation: string;
  insulation_assumed: boolean;
  current_a: number | null;
  conductor_c: number | null;
  outer_diameter_mm: number | null;
  bend_radius_mm: number | null;
  pull_force_n: number | null;
}

export interface FuseDesign {
  device: string;
  load_a: number | null;
  stated_a: number | null;
  least_a: number | null;
}

export interface Remedy {
  remedy: string;
  subject: string;
  words: string;
  brings: string;
  holds: boolean;
  after: Check[];
}

export interface CircuitDesign {
  id: string;
  name: string;
  holds: boolean;
  wires: WireDesign[];
  fuses: FuseDesign[];
  checks: Check[];
  remedies: Remedy[];
}

export interface Assumption {
  subject: string;
  quantity: string;
  taken: string;
  why: string;
}

export interface DesignReport {
  rule_set: string;
  holds: boolean;
  circuits: CircuitDesign[];
  back_feeds: { condition: string; subject: string; words: string; current_a: number | null }[];
  assumptions: Assumption[];
  problems: Problem[];
}

export interface WhatIfReport {
  change: string;
  held_before: boolean;
  holds_after: boolean;
  sizes: { wire: string; before_mm2: number | null; after_mm2: number | null }[];
  checks: { circuit: string; before: Check | null; after: Check | null }[];
}

// The rest

export interface Tick {
  subject: string;
  done: boolean;
  author?: string;
  time?: string;
}

export interface Reading {
  id: string;
  test: string;
  value: number;
  unit: string;
  author?: string;
  time?: string;
}

export interface ProbePlace {
  at: string;
  cavity: string;
  side: "wire_entry" | "mating" | "";
  words: string;
}

export interface ProveTest {
  id: string;
  kind: string;
  condition: string;
  red: string;
  black: string;
  red_at: ProbePlace;
  black_at: ProbePlace;
  clamp: string;
  setting: string;
  nominal: number | null;
  band: { low: number | null; high: number | null; unit: string };
  minutes: number;
  access: string[]; // places that must be open for it
  exposes: string[];
  words: string;
}

export interface ProveCondition {
  id: string;
  words: string;
  live: boolean;
  minutes: number;
  unplugged: string[];
  removed: string[];
  key: string;
  battery_off: boolean;
  jumpers: string[];
  cautions: string[];
}

export interface ProveFault {
  id: string;
  kind: string;
  words: string;
  repair: string;
  repair_words: string;
  prior: number;
  harm: string;
  added: boolean;
  subjects: string[];
}

export interface ProveReport {
  tests: ProveTest[];
  plan: string[];
  plan_minutes: number;
  bound_minutes: number;
  optimal: boolean;
  unexposed: { fault: string; words: string; why: string; remedy: string }[];
  joint_ohms: { joint: string; words: string; ohms: number | null; test: string }[];
  matrix: string[][]; // faults that the same steps expose are one row; those that none exposes last
  conditions: ProveCondition[];
  faults: ProveFault[];
  over_range_ohm: number;
  refused: string[];
  assumptions: Assumption[];
  problems: Problem[];
}

export interface FindReport {
  hypotheses: { faults: string[]; misread: string; odds: number }[];
  repairs: { repair: string; words: string; odds: number; faults: string[] }[];
  all_well: number;
  entropy_bits: number;
  next: { test: string; bits: number; minutes: number; words: string }[];
  settled: string | null;
  words: { fault: string; excluded: boolean; odds: number; words: string }[];
  learnt: string[];
  problems: Problem[];
}

export interface Practice {
  fault: string;
  readings: { test: string; value: number; unit: string }[];
}

export interface Job {
  state: "running" | "done" | "cancelled" | "failed";
  progress: number;
  words: string;
}
