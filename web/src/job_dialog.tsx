// The job: what it is called, who it is for, which vehicle; its document out to a file and back in.

import type { Graft, JobData, Vehicle } from "./api_types";
import { close_dialog } from "./dialogs";
import { JobNote } from "./job_note";
import { set_job, set_title, set_vehicle } from "./model/job_edits";
import { replace_document } from "./net/bring_file";
import { change } from "./net/edit";
import { graft, type OpenGraft } from "./net/graft";
import { graft_path } from "./net/request";
import { Dialog } from "./parts/dialog";
import { Choice, Field } from "./parts/field";
import { FileButton } from "./parts/file_button";

const job_fields: readonly (readonly [keyof JobData, string])[] = [
  ["customer", "Customer"],
  ["number", "Job number"],
  ["registration", "Registration"],
  ["chassis", "Chassis number"],
  ["by", "Who does the work"],
];
const vehicle_fields: readonly (readonly [keyof Vehicle, string, string])[] = [
  ["name", "Vehicle", "make and model"],
  ["years", "Years", "2000-2003"],
  ["market", "Market", "EU"],
  ["transmission", "Transmission", "manual"],
  ["diagnostics", "Diagnostics", "OBD-II"],
];
const supplies = [
  ["12", "12 V"],
  ["24", "24 V"],
] as const;

const save_job = (member: keyof JobData, label: string, value: string) =>
  void change(`${label.toLowerCase()} of the job`, (now) => set_job(now, member, value));
const save_vehicle = (member: keyof Vehicle, label: string, value: string | number) =>
  void change(`${label.toLowerCase()} of the vehicle`, (now) => set_vehicle(now, member, value));

function JobFields({ open: { name, doc } }: { open: OpenGraft }) {
  const job: JobData = doc.job ?? {};
  return (
    <section class="stack" aria-label="The job">
      <div class="job-title-field">
        <Field label="Title" value={doc.title ?? ""} keep="title" take={(title) => void change("the title", () => set_title(title))} />
      </div>
      <div class="tags">
        {job_fields.map(([member, label]) => (
          <Field
            key={member}
            label={label}
            value={job[member] ?? ""}
            keep={`job.${member}`}
            take={(value) => save_job(member, label, value)}
          />
        ))}
        <label class="field">
          <span class="field-name">Date begun</span>
          <input type="date" value={job.date ?? ""} onChange={(event) => save_job("date", "Date begun", event.currentTarget.value)} />
        </label>
      </div>
      <JobNote graft={name} value={job.note ?? ""} take={(note) => save_job("note", "Note", note)} />
    </section>
  );
}

function VehicleFields({ doc }: { doc: Graft }) {
  const vehicle: Vehicle = doc.vehicle ?? {};
  return (
    <section class="stack" aria-label="The vehicle">
      <h3>The vehicle</h3>
      <Choice
        label="Supply"
        value={vehicle.supply_v === 24 ? "24" : "12"}
        choices={supplies}
        take={(volts) => save_vehicle("supply_v", "Supply", Number(volts))}
      />
      <div class="tags">
        {vehicle_fields.map(([member, label, hint]) => (
          <Field
            key={member}
            label={label}
            hint={hint}
            value={String(vehicle[member] ?? "")}
            keep={`vehicle.${member}`}
            take={(value) => save_vehicle(member, label, value)}
          />
        ))}
      </div>
    </section>
  );
}

function DocumentFile({ name }: { name: string }) {
  return (
    <section class="stack" aria-label="The document">
      <h3>The document</h3>
      <p class="soft">
        The export is a file with everything but the history and the photos. Bringing a document in replaces what this job holds; undo
        brings it back. The job itself is {name}.graft: copy that file to take all of it along.
      </p>
      <div class="buttons">
        <a class="button" href={graft_path(name, "/export")} download={`${name}.json`}>
          Export the document
        </a>
        <FileButton
          text="Bring a document in"
          label="A document for this job"
          accept=".json,application/json"
          take={(chosen) => {
            void replace_document(chosen);
            close_dialog();
          }}
        />
      </div>
    </section>
  );
}

export function JobDialog() {
  const open = graft.value;
  if (!open) return null;
  return (
    <Dialog title="Job" close={close_dialog}>
      <div class="stack">
        <JobFields open={open} />
        <VehicleFields doc={open.doc} />
        <DocumentFile name={open.name} />
      </div>
    </Dialog>
  );
}
