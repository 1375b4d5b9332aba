// Settings of this device, and how to connect another one.

import { useState } from "preact/hooks";
import { JoinPhone } from "./join";
import { Dialog } from "./parts/dialog";
import { Choice, Field } from "./parts/field";
import { session } from "./session";
import { author, type Theme, theme, type Units, units } from "./settings";

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

export function Settings({ close }: { close: () => void }) {
  const [joining, set_joining] = useState(false);
  return (
    <Dialog title="Settings of this device" close={close}>
      <div class="stack">
        <Field label="Name of this device or person" value={author.value} take={(name) => (author.value = name || "bench")} />
        <p class="soft">The history shows this name beside every change.</p>
        <Choice label="Theme" value={theme.value} choices={theme_choices} take={(value) => (theme.value = value)} />
        <Choice label="Wire sizes" value={units.value} choices={unit_choices} take={(value) => (units.value = value)} />
        {session.value?.loopback && !joining && (
          <button type="button" onClick={() => set_joining(true)}>
            Connect a phone
          </button>
        )}
        {joining && <JoinPhone />}
        <p class="soft">
          Loomgraft {session.value?.version ?? ""} {session.value?.folder ? `· grafts are stored in ${session.value.folder}` : ""}
        </p>
      </div>
    </Dialog>
  );
}
