// Settings of this device, and how to connect another one.

import { useState } from "preact/hooks";
import { Devices } from "./devices";
import { open_dialog } from "./dialogs";
import { JoinPhone } from "./join";
import { count_of, counts_text, total_of } from "./model/waiting_text";
import { refused, waiting } from "./net/waiting";
import { Dialog } from "./parts/dialog";
import { Choice, Field } from "./parts/field";
import { Switch } from "./parts/switch";
import { session } from "./session";
import { author, type LengthUnit, length_unit, speak_steps, type Theme, theme, type Units, units } from "./settings";
import { be_quiet, can_speak, speak } from "./speech";

const theme_choices: readonly (readonly [Theme, string])[] = [
  ["auto", "Same as the device"],
  ["light", "Light"],
  ["dark", "Dark"],
  ["glare", "Glare (high contrast)"],
];
const unit_choices: readonly (readonly [Units, string])[] = [
  ["metric", "mm²"],
  ["awg", "AWG"],
];
const length_choices: readonly (readonly [LengthUnit, string])[] = [
  ["m", "metres"],
  ["cm", "centimetres"],
  ["ft", "feet and inches"],
];

// For those whose eyes and hands are under a dashboard.
function Speech() {
  const take = (on: boolean) => {
    speak_steps.value = on;
    // Browsers let a page sound only after a person has pressed something: here.
    if (on) speak("Steps are spoken");
    else be_quiet();
  };
  return (
    <>
      <Switch label="Speak the steps, and sound a tone for each reading" on={speak_steps.value} take={take} />
      {can_speak() ? (
        <p class="soft">A high tone: in band. A low tone: out of band.</p>
      ) : (
        <p class="soft">This browser cannot speak: only the tones sound. High: in band. Low: out of band.</p>
      )}
    </>
  );
}

function waits_text(): string {
  const total = total_of(waiting.value);
  const count = refused.value.length;
  const not_taken = count === 0 ? "" : ` ${count} ${count === 1 ? "entry was" : "entries were"} not taken.`;
  if (count_of(total) === 0) return `Nothing waits to be sent.${not_taken}`;
  const jobs = waiting.value.length === 1 ? "one job" : `${waiting.value.length} jobs`;
  return `${counts_text(total)} for ${jobs}, stored in this browser on this device.${not_taken}`;
}

export function Settings({ close }: { close: () => void }) {
  const [joining, set_joining] = useState(false);
  return (
    <Dialog title="Settings of this device" close={close}>
      <div class="stack">
        <Field label="Name of this device or person" value={author.value} take={(name) => (author.value = name || "bench")} />
        <p class="soft">The history shows this name beside every change.</p>
        <Choice label="Theme" value={theme.value} choices={theme_choices} take={(value) => (theme.value = value)} />
        <Choice label="Wire sizes" value={units.value} choices={unit_choices} take={(value) => (units.value = value)} />
        <Choice label="Lengths" value={length_unit.value} choices={length_choices} take={(value) => (length_unit.value = value)} />
        <Speech />
        {session.value?.loopback && !joining && (
          <button type="button" onClick={() => set_joining(true)}>
            Connect a phone
          </button>
        )}
        {joining && <JoinPhone />}
        <Devices />
        <section class="stack" aria-label="What waits on this device">
          <h3>What waits on this device</h3>
          <p class="soft">{waits_text()}</p>
          <button type="button" onClick={() => (open_dialog.value = "waiting")}>
            What waits on this device
          </button>
        </section>
        <button type="button" onClick={() => (open_dialog.value = "help")}>
          Help: words and keys
        </button>
        <p class="soft">
          Loomgraft {session.value?.version ?? ""} {session.value?.folder ? `· jobs are stored in ${session.value.folder}` : ""}
        </p>
      </div>
    </Dialog>
  );
}
