// A new job on one screen: what is fitted into which vehicle, its supply, the vehicle's table and the donor's table.

import { useEffect, useRef, useState } from "preact/hooks";
import { use_draft } from "../drafts";
import { empty_form, input_of, type NewJobForm } from "../model/new_job";
import { create_job } from "../net/new_job";
import { Choice } from "../parts/field";
import { NewJobTable } from "./new_job_table";

const supplies = [
  ["12", "12 V"],
  ["24", "24 V"],
] as const;

export function NewJob({ taken }: { taken: readonly string[] }) {
  const [form, set_form, drop] = use_draft<NewJobForm>("", "new-job", empty_form);
  const [busy, set_busy] = useState(false);
  const title = useRef<HTMLInputElement>(null);
  useEffect(() => {
    // On a phone the keyboard would cover what is asked.
    if (window.matchMedia("(pointer: fine)").matches) title.current?.focus();
  }, []);
  const set = (changed: Partial<NewJobForm>) => set_form({ ...form, ...changed });
  const both = input_of(form.found) !== null && input_of(form.donor) !== null;
  const submit = async () => {
    set_busy(true);
    const created = await create_job({ ...form, title: form.title.trim() }, taken);
    set_busy(false);
    if (created) drop();
  };
  return (
    <form
      class="stack new-job"
      onSubmit={(event) => {
        event.preventDefault();
        if (form.title.trim() && !busy) void submit();
      }}
    >
      <section class="sheet new-job-head" aria-label="The job">
        <label class="field">
          <span class="field-name">What do you fit, and into which vehicle?</span>
          <input
            value={form.title}
            ref={title}
            required
            placeholder="Cruise control, 2004 pickup"
            onInput={(event) => set({ title: event.currentTarget.value })}
          />
        </label>
        <Choice
          label="Supply of the vehicle"
          value={form.supply_v === 24 ? "24" : "12"}
          choices={supplies}
          take={(volts) => set({ supply_v: volts === "24" ? 24 : 12 })}
        />
      </section>
      <div class="new-job-tables">
        <NewJobTable
          title="The vehicle's table"
          hint="The pin table of the module that is in the vehicle now, from a manual, a forum or a spreadsheet."
          table={form.found}
          take={(found) => set({ found })}
        />
        <NewJobTable
          title="The donor's table"
          word="donor"
          hint="The pin table of the module that you want to fit."
          table={form.donor}
          take={(donor) => set({ donor })}
        />
      </div>
      <div class="buttons new-job-end">
        <button type="submit" class="primary" disabled={busy}>
          {both ? "Create the job and compare" : "Create the job"}
        </button>
        <a class="button" href="#/">
          Back
        </a>
        <span class="soft">{busy ? "Creating …" : both ? "" : "A missing table can be added later."}</span>
      </div>
    </form>
  );
}
