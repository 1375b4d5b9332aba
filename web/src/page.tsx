// The page: the start page, or a graft with its rail and the stage that the address names.

import type { JSX } from "preact";
import { useEffect, useLayoutEffect, useRef } from "preact/hooks";
import { AskFirst } from "./ask_first";
import { ConflictDialog } from "./conflict_dialog";
import { open_dialog } from "./dialogs";
import { stage_names } from "./findings";
import { close_message, message } from "./message";
import { redo, undo } from "./net/edit";
import { watch } from "./net/events";
import { close_graft, graft, is_open, load_graft, open_problems } from "./net/graft";
import { forget_reports } from "./net/report";
import "./net/resend";
import { unpaired } from "./net/request";
import { NextStep } from "./parts/next_step";
import { Problems } from "./parts/problems";
import { Rail } from "./rail";
import { route, type Stage } from "./route";
import { Choose } from "./stages/choose";
import { Circuits } from "./stages/circuits";
import { Compare } from "./stages/compare";
import { Design } from "./stages/design";
import { DiagramStage } from "./stages/diagram";
import { Find } from "./stages/find";
import { Gather } from "./stages/gather";
import { SafetyNotice } from "./stages/gather_safety";
import { HistoryStage } from "./stages/history";
import { Identify } from "./stages/identify";
import { Loom } from "./stages/loom";
import { Prove } from "./stages/prove";
import { Start } from "./stages/start";
import { Topbar } from "./topbar";
import "./waiting/leave_question";
import { LostLink } from "./waiting/lost_link";
import { PlainLink } from "./waiting/plain_link";

const screens: Record<Stage, () => JSX.Element | null> = {
  gather: Gather,
  identify: Identify,
  choose: Choose,
  compare: Compare,
  circuits: Circuits,
  loom: Loom,
  design: Design,
  diagram: DiagramStage,
  prove: Prove,
  find: Find,
  history: HistoryStage,
};

function typing(event: KeyboardEvent): boolean {
  return event.target instanceof HTMLInputElement || event.target instanceof HTMLTextAreaElement;
}

function use_undo_keys(): void {
  useEffect(() => {
    const keys = (event: KeyboardEvent) => {
      if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "z" || typing(event)) return;
      event.preventDefault();
      void (event.shiftKey ? redo() : undo());
    };
    window.addEventListener("keydown", keys);
    return () => window.removeEventListener("keydown", keys);
  }, []);
}

function MessageBox() {
  const now = message.value;
  return (
    <div class="message-box" role="status" aria-live="polite">
      {now && (
        <p key={now.id} class={`message message-${now.kind}`}>
          {now.text}{" "}
          <button type="button" onClick={close_message}>
            Close
          </button>
        </p>
      )}
    </div>
  );
}

function Unpaired() {
  if (!unpaired.value) return null;
  return (
    <div class="unpaired no-print" role="alert">
      This device is no longer paired with the workbench. What you entered and it does not have yet is still stored on this device, and is
      sent once it is paired again.{" "}
      <button type="button" onClick={() => (open_dialog.value = "waiting")}>
        What waits
      </button>{" "}
      <button type="button" onClick={() => location.reload()}>
        Pair it again
      </button>
    </div>
  );
}

function GraftPage({ name, stage }: { name: string; stage: Stage }) {
  const main = useRef<HTMLElement>(null);
  useLayoutEffect(() => {
    if (!is_open(name)) void load_graft(name);
  }, [name]);
  useEffect(() => {
    const stop = watch(name);
    return () => {
      stop();
      close_graft(name);
      forget_reports();
    };
  }, [name]);
  const open = graft.value;
  const loaded = open?.name === name;
  useEffect(() => {
    document.title = `${stage_names[stage]} · ${open?.doc.title || name} · Loomgraft`;
    window.scrollTo(0, 0);
    main.current?.focus({ preventScroll: true });
  }, [stage, name, loaded]);
  const Screen = screens[stage];
  return (
    <div class="frame">
      <Topbar />
      {open && loaded && <Rail name={name} doc={open.doc} />}
      <main id="sheet" ref={main} tabIndex={-1}>
        <LostLink />
        <PlainLink />
        <h1>{stage_names[stage]}</h1>
        {open && loaded && <NextStep stage={stage} graft={open.doc} />}
        <Problems list={open_problems.value} />
        {loaded && stage !== "gather" && <SafetyNotice />}
        {loaded && <Screen />}
        {!loaded &&
          (open_problems.value.length > 0 ? (
            <a class="button primary" href="#/">
              All jobs
            </a>
          ) : (
            <p class="soft" role="status">
              Opening …
            </p>
          ))}
      </main>
    </div>
  );
}

export function Page() {
  use_undo_keys();
  const { graft: name, stage } = route.value;
  return (
    <>
      <button type="button" class="skip" onClick={() => document.querySelector("main")?.focus()}>
        Skip to content
      </button>
      {name ? <GraftPage key={name} name={name} stage={stage} /> : <Start />}
      <Unpaired />
      <MessageBox />
      <ConflictDialog />
      <AskFirst />
    </>
  );
}
