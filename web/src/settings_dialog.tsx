// Settings of this device, and how another one joins.

import { useState } from "preact/hooks";
import { Choice, Field } from "./parts/field";
import { Dialog } from "./parts/dialog";
import { JoinPhone } from "./join";
import { author, theme, units, type Theme, type Units } from "./settings";
import { session } from "./session";

const theme_choices: readonly (readonly [Theme, string])[] = [
  ["auto", "As the device"],
  ["light", "Light"],
  ["dark", "Dark"],
  ["glare", "Glare"],
];
const unit_choices: readonly (readonly [Units, string])[] = [
  ["metric", "mm²"],
  ["awg", "AWG"],
];

export function Settings({ close }: { close: () => void }) {
  const [join, set_join] = useState(false);
  return (
    <Dialog title="Settings of this device" close={close}>
      <div class="stack">
        <Field label="Name of this device or person" value={author.value} take={(name) => (author.value = name || "bench")} />
        <p class="soft">The name stands beside every change in the history.</p>
        <Choice label="Sheets" value={theme.value} choices={theme_choices} take={(value) => (theme.value = value)} />
        <Choice label="Wire sizes" value={units.value} choices={unit_choices} take={(value) => (units.value = value)} />
        {session.value?.loopback && !join && (
          <button type="button" onClick={() => set_join(true)}>
            Join a phone
          </button>
        )}
        {join && <JoinPhone />}
        <p class="soft">
          Loomgraft {session.value?.version ?? ""} {session.value?.folder ? `· grafts are kept in ${session.value.folder}` : ""}
        </p>
      </div>
    </Dialog>
  );
}
