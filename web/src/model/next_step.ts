// What to do next in each stage, and what later stages still lack: from the document and the reports that are at hand.

import type { CheckReport, CompareReport, DesignReport, Graft, ProveReport, Reading, Wire } from "../api_types";
import type { Stage } from "../route";
import { fails_design } from "./circuit_verdict";
import { candidates, disagreement, found_module } from "./document";
import { latest_by_test, result_of } from "./proof";
import { safety_questions, wires_left_alone } from "./safety";

export interface AtHand {
  check?: CheckReport | null;
  compare?: CompareReport | null;
  design?: DesignReport | null;
  prove?: ProveReport | null;
  readings?: readonly Reading[];
}

export interface Task {
  id: string;
  stage: Stage; // where it is done
  text: string; // what to do
  lack: string; // the same, said from another stage
}

export interface Advice {
  now: string; // what to do on this stage
  id: string; // of the task, or "done"
  next: Task | null; // where to go on, if nothing is left to do here
  later: Task | null; // what a later stage lacks
}

// The order of work. The stages between them are tools: one may use them at any time.
const order: readonly Stage[] = ["gather", "choose", "compare", "circuits", "design", "prove", "find"];

// The stages before which the work is done that this one builds on.
const place_in_order: Record<Stage, Stage> = {
  gather: "gather",
  identify: "gather",
  choose: "choose",
  compare: "compare",
  circuits: "circuits",
  loom: "circuits",
  design: "design",
  diagram: "design",
  prove: "prove",
  find: "find",
  history: "find",
};

const many = (count: number, one: string, several: string) => `${count} ${count === 1 ? one : several}`;

function table_tasks(doc: Graft): Task[] {
  const found = found_module(doc);
  if (!found) {
    const text =
      "Begin with the vehicle's own module: paste its pin table from a manual, a forum or a spreadsheet, however untidy it is. The page shows what it read, column by column.";
    return [{ id: "found", stage: "gather", text, lack: "The vehicle's pin table is missing." }];
  }
  if (candidates(doc).length === 0) {
    const text =
      "Now add the donor: the pin table of the module that you want to fit. If you have several candidates, add them all; they are ranked later.";
    return [{ id: "donor", stage: "gather", text, lack: "The donor's pin table is missing." }];
  }
  return [];
}

function settle_tasks(doc: Graft): Task[] {
  const open = (found_module(doc)?.pins ?? []).filter((pin) => disagreement(pin)?.about === "class").length;
  if (open === 0) return [];
  const cavities = many(open, "cavity", "cavities");
  return [
    {
      id: "settle",
      stage: "gather",
      text: `Settle what is in ${cavities}: the sources disagree. Measure as described, then press “This one is right”.`,
      lack: `The sources disagree about ${cavities} of the vehicle.`,
    },
  ];
}

function choose_tasks(doc: Graft): Task[] {
  const donors = candidates(doc);
  if (donors.length < 2 || donors.some((module) => module.role === "donor")) return [];
  const lack = `${donors.length} candidates are there and no donor is chosen.`;
  return [{ id: "choose", stage: "choose", text: "Choose the donor: few points mean little work and risk.", lack }];
}

function compare_tasks(doc: Graft, report: CompareReport | null | undefined): Task[] {
  const questions = report?.questions.length ?? 0;
  if ((doc.plan?.length ?? 0) === 0) {
    const text =
      questions > 0
        ? `Look at the hazards, settle ${many(questions, "question", "questions")} if you can, then press “Make this the plan”.`
        : "Look at the hazards and at each circuit, then press “Make this the plan”.";
    return [{ id: "plan", stage: "compare", text, lack: "There is no plan yet: it is made from the comparison." }];
  }
  if (questions === 0) return [];
  const open = many(questions, "question is", "questions are");
  const text = `${open} open. What you find at the vehicle can change the plan, so settle them before you cut a wire.`;
  return [{ id: "questions", stage: "compare", text, lack: `${open} open about the circuits.` }];
}

function safety_tasks(report: CheckReport | null | undefined): Task[] {
  const open = safety_questions(report?.presumed ?? []).length;
  if (open === 0) return [];
  const circuits = many(open, "circuit", "circuits");
  const text = `Look up what ${circuits} ${open === 1 ? "is" : "are"}: airbag, belt tensioner or high voltage? Do not probe.`;
  return [{ id: "safety", stage: "gather", text, lack: `It is open whether ${circuits} may be touched.` }];
}

function circuit_tasks(doc: Graft, check: CheckReport | null | undefined): Task[] {
  const left_alone = wires_left_alone(doc, check?.presumed ?? []);
  const is_open = (wire: Wire) => (!wire.from?.at || !wire.to?.at) && !left_alone.has(wire.id);
  const added = (doc.plan ?? []).flatMap((step) => (step.added ? [step.added] : []));
  const open_added = added.filter(is_open).length;
  const retired = new Set((doc.plan ?? []).flatMap((step) => (step.action === "retire" && step.wire ? [step.wire] : [])));
  const open_found = (doc.wires ?? []).filter((wire) => is_open(wire) && !retired.has(wire.id)).length;
  if (open_added > 0) {
    const lack = `${open_added} of ${many(added.length, "added wire", "added wires")} ${open_added === 1 ? "has" : "have"} no far end.`;
    const text = `Say what each wire is connected to: ${lack} Take what is proposed, or choose another.`;
    return [{ id: "far-ends", stage: "circuits", text, lack }];
  }
  if (open_found === 0) return [];
  const lack = `${many(open_found, "wire", "wires")} of the loom as found ${open_found === 1 ? "has" : "have"} no far end.`;
  const text = `${lack} Follow ${open_found === 1 ? "it" : "them"} at the vehicle and say what is at the other end.`;
  return [{ id: "found-ends", stage: "circuits", text, lack }];
}

function design_tasks(report: DesignReport | null | undefined): Task[] {
  if (!report) return [];
  const failing = report.circuits.filter(fails_design).length;
  const feeds = report.back_feeds.length;
  const tasks: Task[] = [];
  if (failing > 0) {
    const lack = `${failing} of ${many(report.circuits.length, "circuit", "circuits")} ${failing === 1 ? "fails" : "fail"} in the design.`;
    tasks.push({ id: "failing", stage: "design", text: `${lack} Open each and put right what limits it.`, lack });
  }
  if (feeds > 0) {
    const lack = `${many(feeds, "back-feed", "back-feeds")}: current flows where none should.`;
    tasks.push({ id: "back-feeds", stage: "design", text: `${lack} Separate the feeds before you build.`, lack });
  }
  const assumed = report.assumptions.length;
  if (assumed > 0) {
    const lack = `${many(assumed, "value is a default value", "values are default values")}.`;
    tasks.push({ id: "assumed", stage: "design", text: `${lack} Measure what you can, deciding ones first, and type it in.`, lack });
  }
  return tasks;
}

function prove_tasks(report: ProveReport | null | undefined, readings: readonly Reading[]): Task[] {
  if (!report) return [];
  const latest = latest_by_test(readings);
  const planned = new Set(report.plan);
  const steps = report.tests.filter((test) => planned.has(test.id));
  const out = steps.filter((test) => result_of(test, latest.get(test.id)) === "out_of_band").length;
  const to_do = steps.filter((test) => !latest.has(test.id)).length;
  const tasks: Task[] = [];
  if (out > 0) {
    const lack = `${many(out, "reading is", "readings are")} out of band.`;
    tasks.push({ id: "out-of-band", stage: "find", text: `${lack} Measure what is proposed until one fault is left.`, lack });
  }
  if (to_do > 0) {
    const lack = `${to_do} of ${many(steps.length, "measurement", "measurements")} to do.`;
    tasks.push({
      id: "measure",
      stage: "prove",
      text: `${lack} Put the leads where the step says, then enter what the meter shows.`,
      lack,
    });
  }
  return tasks;
}

// Everything that is left to do, in the order of work.
export function tasks_of(doc: Graft, at_hand: AtHand): Task[] {
  const tables = table_tasks(doc);
  if (tables.length > 0) return tables;
  const before_plan = [...settle_tasks(doc), ...choose_tasks(doc), ...compare_tasks(doc, at_hand.compare)];
  const safety = safety_tasks(at_hand.check);
  if ((doc.plan?.length ?? 0) === 0) return [...before_plan, ...safety];
  const after = [
    ...circuit_tasks(doc, at_hand.check),
    ...design_tasks(at_hand.design),
    ...prove_tasks(at_hand.prove, at_hand.readings ?? []),
  ];
  return [...before_plan, ...after, ...safety];
}

const tools: Partial<Record<Stage, string>> = {
  identify: "Hold a plug of the vehicle and enter a few wire colours: the page says which plug it is and which side you see.",
  loom: "Type in what you know of the loom: lengths, sizes, places. Where nothing is stated, a default value applies.",
  diagram: "Follow a circuit from end to end, or print the sheets for the bench.",
  find: "Nothing is out of band. When a reading is, this says what it means and what to measure next.",
  history: "Here is who changed what, and when. Nothing is ever lost: undo takes back step by step.",
};

const done: Partial<Record<Stage, string>> = {
  gather: "The tables are here.",
  choose: "The donor is chosen.",
  compare: "The plan is made.",
  circuits: "Every wire has its far end.",
  design: "Every circuit passes, with values that you stated.",
  prove: "Every measurement has a reading.",
};

// Where to go on when nothing is known to be left: the design and the test plan have not been looked at yet.
function go_on(doc: Graft, at_hand: AtHand, stage: Stage): Task | null {
  const position = order.indexOf(place_in_order[stage]);
  if ((doc.plan?.length ?? 0) === 0) return null;
  if (!at_hand.design && position < order.indexOf("design")) {
    return { id: "look-at-design", stage: "design", text: "", lack: "Check wire sizes, fuses and voltages of what is added." };
  }
  if (!at_hand.prove && position < order.indexOf("prove")) {
    return { id: "look-at-prove", stage: "prove", text: "", lack: "Prove the loom with the meter before power goes on." };
  }
  return null;
}

// Null where the stage itself says what comes first, because it has nothing to show yet.
export function next_step(stage: Stage, doc: Graft, at_hand: AtHand): Advice | null {
  const tasks = tasks_of(doc, at_hand);
  const position = order.indexOf(place_in_order[stage]);
  const after = tasks.filter(
    (task) => order.indexOf(task.stage) > position || (task.stage !== stage && task.stage === place_in_order[stage]),
  );
  const first_after = after[0] ?? go_on(doc, at_hand, stage);
  const own = tasks.find((task) => task.stage === stage);
  if (own) return { now: own.text, id: own.id, next: null, later: first_after };
  const tool = tools[stage];
  if (tool !== undefined) return { now: tool, id: "tool", next: null, later: tasks.find((task) => task.stage !== stage) ?? first_after };
  if (!has_something(stage, doc)) return null;
  return { now: done[stage] ?? "", id: "done", next: first_after, later: null };
}

function has_something(stage: Stage, doc: Graft): boolean {
  if (stage === "gather" || stage === "identify") return true;
  if (stage === "choose" || stage === "compare") return found_module(doc) !== undefined && candidates(doc).length > 0;
  return (doc.plan?.length ?? 0) > 0;
}

// For the list of jobs: the first thing that is left to do, and its stage.
export function first_task(doc: Graft): Task {
  const [first] = tasks_of(doc, {});
  return first ?? go_on(doc, {}, "gather") ?? { id: "look", stage: "compare", text: "", lack: "" };
}
