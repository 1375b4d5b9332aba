// What people do on the page, as steps that tests share, and the names by which they find things on it.
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { root } from "./server.mjs";

// The texts of the page that tests look for. Nothing else in the tests depends on its wording.
export const names = {
  // Start page and frame
  new_graft: "What do you fit, and into which vehicle?",
  new_job: "Start a new job",
  demo: "Open a copy of the demo",
  bring: "A document of a job",
  vehicle_table: "The vehicle's table: paste it here",
  donor_table: "The donor's table: paste it here",
  not_yet: "Not yet",
  create_job: /^Create the job/,
  check_reading: "Check how it was read",
  all_jobs: "All jobs",
  search: "Search",
  help: "Help",
  find_word: "Find a word",
  job: { customer: "Customer", title: "Title", note: "Note", bring: "A document for this job", volts_24: "24 V" },
  undo: "Undo",
  settings: "Settings",
  close: "Close",
  device_name: "Name of this device or person",
  awg: "AWG",
  apply_mine_again: "Apply mine again",
  print: /^Print/,
  stop: "Stop",
  stopped: "Stopped.",
  try_again: /try again$/,
  show_all: /^Show all/,
  // Gather
  add_a_table: "Add a table",
  paste_here: "Paste a pin table here, or drop a file",
  read_table: "Read the table",
  use_another_table: "Use another table",
  add_as: "Add it as",
  add_this_table: "Add this table",
  market: "Market",
  this_one_is_right: "This one is right",
  // Identify
  large_terminal: "Large terminal",
  empty_hole: "Empty hole",
  done: "Done",
  latch_top: "top",
  flip: /^Flip/,
  wire_entry_side: "wire-entry side",
  mating_side: "mating side",
  // Compare
  make_plan: "Make this the plan",
  tabs: { hazards: /^Hazards/, circuits: /^Circuits/, plug: /^Plug/, questions: /^Questions/, moves: /^Moves/ },
  questions: "Questions",
  circuits: "Circuits",
  matched: "Circuits matched by a person",
  all_circuits: /^all/,
  same_circuit: "The same circuit",
  donor_pin: "Pin of the donor",
  remove_answer: /^Remove the answer/,
  // Circuits
  vehicle_shape: "vehicle",
  take_all: /^Take all/,
  all_ends: "Every wire of the plan has two ends.",
  take_it: "Take it",
  put_plug: "Plug in the wire",
  put_relay: "Relay",
  something_else: "Choose something else",
  // Design and diagram
  diagram: "Show its diagram",
  find_part: "Find a wire, device or cavity",
  next_circuit: "Next circuit",
  previous_circuit: "Previous circuit",
  whole_drawing: "Whole drawing",
  edit: "Edit",
  length: "length",
  new_value: "New value",
  // Prove
  practise: /^Practise/,
  practice_meter: "Read the practice meter",
  save_reading: "Save the reading",
  save_in_band: "In band, no value",
  next_step: "Next step",
  leads_are_on: "Leads are on",
  meter: {
    panel: "Attached meter",
    zero: "Zero the leads",
    take: "Take this value",
    by_itself: "Take readings from the meter by itself",
    dead_again: /set the meter to ohms$/,
    here: "Use it here",
    speak: /^Speak the steps/,
  },
  results: { to_do: "to do", in_band: "in band", out_of_band: "out of band", unreached: "cannot be reached" },
  go_to_step: "Go to this step",
  drawing: { new_wire: "new wire", mating_as_planned: "Mating side, as planned" },
  photo: /^Photo 1/,
  remove_photo: "Remove Photo 1",
  remove_it: "Remove it",
  photo_removed: /Photo 1 was removed/,
  // What waits on this device
  waiting: {
    open: "What waits on this device",
    from_lost_link: "What waits",
    send_now: "Send now",
    save: "Save to a file",
    file: "A file of what waited",
    as_text: "Show it as text",
    paste: "Paste the text from the old address",
    bring_text: "Bring the text in",
    take_in: "Take it in",
    other_job: "Its file has another name now",
    send_to_job: "Send to this job",
    discard: /^Discard: /,
    discard_it: "Discard it",
    leave: "Leave it as it is",
    bring_document: "Bring the document in",
  },
  understood: "Understood",
  log_out: "Log this device out",
  log_out_now: "Log out",
  remove_device: "Remove Phone in the yard",
};

export const button = (scope, name) => scope.getByRole("button", { name, exact: true });

export const demo_file = (name) => readFileSync(join(root, "examples/power-takeoff", name), "utf8");

export const stage = async (page, graft, name, query = "") => {
  await page.goto(`/#/g/${graft}/${name}${query}`);
  await page.locator("main h1").waitFor();
};

// One of the tabs of the comparison.
export async function open_tab(page, name) {
  const tab = page.getByRole("tab", { name: names.tabs[name] });
  await tab.click();
  await tab.and(page.locator('[aria-selected="true"]')).waitFor();
}

export const graft_of = (page) => /#\/g\/([^/]+)/.exec(page.url())?.[1] ?? "";

// Sends JSON to the program from the page and returns the status.
export const send = (page, method, path, body, headers = {}) =>
  page.evaluate(
    async ([how, where, what, more]) => {
      const answer = await fetch(where, {
        method: how,
        headers: { "Content-Type": "application/json", ...more },
        body: JSON.stringify(what),
      });
      return answer.status;
    },
    [method, path, body, headers],
  );

// Creates a graft through the API: for tests that are about something else.
export async function make_graft(page, name, { example = false, title = name } = {}) {
  // Any answer of the program will do to speak from; a picture is there sooner than the page.
  if (!page.url().startsWith("http")) await page.goto("/icon.svg");
  const status = await send(page, "POST", "/api/grafts", { name, title, example });
  if (status !== 201) throw new Error(`the graft was not created: ${status}`);
  return name;
}

export async function start_graft(page, title) {
  await page.goto("/#/new");
  await page.getByLabel(names.new_graft).fill(title);
  await page.getByRole("button", { name: names.create_job }).click();
  await page.waitForURL(/#\/g\/.*\/gather/);
}

// A job from two pasted tables, up to its comparison. Begins on the start page.
export async function create_job(page, job) {
  if (!page.url().endsWith("/")) await page.goto("/");
  await page.getByRole("link", { name: names.new_job }).click();
  await page.getByLabel(names.new_graft).fill(job.title);
  if (job.supply !== "12 V") await button(page, job.supply).click();
  await page.getByLabel(names.vehicle_table).fill(job.found);
  await page.getByLabel(names.donor_table).fill(job.donor);
  await page
    .locator(".read-summary", { hasText: /\d+ plugs?, \d+ pins/ })
    .nth(1)
    .waitFor();
  await page.getByRole("button", { name: names.create_job }).click();
  await page.waitForURL(/\/compare/);
  await button(page, names.make_plan).waitFor();
}

export async function preview_table(page, text) {
  const add = button(page, names.add_a_table);
  const field = page.getByLabel(names.paste_here);
  await add.or(field).first().waitFor();
  if (await add.isVisible()) await add.click();
  await field.fill(text);
  await button(page, names.read_table).click();
}

export async function add_table(page) {
  const add = button(page, names.add_this_table);
  await add.click();
  await add.waitFor({ state: "detached" });
}

export async function paste_table(page, text) {
  await preview_table(page, text);
  await add_table(page);
}

// An answer of the program as JSON. What takes it long is answered 202 first and is there a little later.
export const read_json = (page, path) =>
  page.evaluate(async (at) => {
    for (;;) {
      const answer = await fetch(at);
      if (answer.status === 200) return answer.json();
      if (answer.status !== 202) throw new Error(`${at} was refused: ${answer.status}`);
    }
  }, path);

export const document_of = (page, graft) => read_json(page, `/api/grafts/${graft}`);

export const proof_of = (page, graft) => read_json(page, `/api/grafts/${graft}/reports/prove`);

// Waits until the program's document contains the text.
export async function until_document(page, graft, text) {
  for (let tries = 0; tries < 200; tries += 1) {
    if (JSON.stringify(await document_of(page, graft)).includes(text)) return;
  }
  throw new Error(`the document never contained ${text}`);
}
