// The paired devices, for the settings: who is let in since when, and how one is removed or leaves.

import { useEffect, useState } from "preact/hooks";
import { ask_first } from "./ask_first";
import { show_message } from "./message";
import { clock_text, count_of, counts_text, total_of } from "./model/waiting_text";
import { leave, list_devices, type PairedDevice, remove_device } from "./net/devices";
import { forget_loaded } from "./net/offline";
import type { Refusal } from "./net/request";
import { waiting } from "./net/waiting";
import { session } from "./session";

const say = (what: string, { problems }: Refusal) => show_message(`${what} ${problems[0]?.message ?? ""}`, "error");

function waits_here(): string {
  const total = total_of(waiting.value);
  if (count_of(total) === 0) return "Nothing waits on it to be sent.";
  const verb = count_of(total) === 1 ? "waits" : "wait";
  return `${counts_text(total)} still ${verb} on it. What waits stays in this browser and is sent once the device is paired again at this address. If that may never be, save it to a file first.`;
}

async function log_out(): Promise<void> {
  const text = [waits_here(), "The jobs are then no longer shown here. To come back, scan a new code from the computer."];
  if (!(await ask_first("Log this device out?", text, "Log out"))) return;
  const answer = await leave();
  if (!answer.ok) {
    say("This device is not logged out.", answer);
    return;
  }
  await forget_loaded().catch(() => undefined);
  location.reload();
}

async function remove(device: PairedDevice, again: () => void): Promise<void> {
  const text = [
    `${device.name} is let in no longer, until it scans a new code.`,
    "Whether something still waits on it is not known here. If so, it stays there and is sent once the device is paired again.",
  ];
  if (!(await ask_first(`Remove ${device.name}?`, text, "Remove it"))) return;
  const answer = await remove_device(device.id);
  if (!answer.ok) say(`${device.name} was not removed.`, answer);
  again();
}

function DeviceRow({ device, again }: { device: PairedDevice; again: () => void }) {
  const rows: [string, string][] = [
    ["first seen", clock_text(device.since)],
    ["last seen", clock_text(device.seen)],
    ["ends", clock_text(device.ends)],
  ];
  return (
    <li class="device">
      <span>
        <strong>{device.name}</strong> {device.this && "(this device)"}
        <br />
        <span class="soft">
          {rows
            .filter(([, time]) => time !== "")
            .map((row) => row.join(" "))
            .join(" · ")}
        </span>
      </span>
      {device.this ? (
        <button type="button" onClick={() => void log_out()}>
          Log this device out
        </button>
      ) : (
        session.value?.loopback && (
          <button type="button" aria-label={`Remove ${device.name}`} onClick={() => void remove(device, again)}>
            Remove
          </button>
        )
      )}
    </li>
  );
}

// Nothing where the program keeps no such list.
export function Devices() {
  const [devices, set_devices] = useState<PairedDevice[]>([]);
  const read = () => void list_devices().then((answer) => set_devices(answer.ok ? answer.value.devices : []));
  useEffect(read, []);
  if (devices.length === 0) return null;
  return (
    <section class="stack" aria-label="Devices">
      <h3>Paired devices</h3>
      <ul class="waiting-jobs">
        {devices.map((device) => (
          <DeviceRow key={device.id} device={device} again={read} />
        ))}
      </ul>
    </section>
  );
}
