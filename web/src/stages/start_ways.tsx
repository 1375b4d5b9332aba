// The four ways to begin: a new job, one of this folder, the demo, a file.

import { useState } from "preact/hooks";
import { bring_document } from "../net/bring_file";
import { create_demo } from "../net/new_job";
import { FileButton } from "../parts/file_button";
import { session } from "../session";

function BringFile({ taken, again }: { taken: readonly string[]; again: () => void }) {
  return (
    <section class="sheet stack way" aria-labelledby="way-bring">
      <h2 id="way-bring">Bring a file</h2>
      <p>A document (.json) that was exported from a job, or written by hand, becomes a job of this folder.</p>
      <div class="buttons">
        <FileButton
          text="Choose a document"
          label="A document of a job"
          accept=".json,application/json"
          take={(chosen) => void bring_document(chosen, taken)}
        />
      </div>
      <details>
        <summary>I have a .graft file</summary>
        <p>
          Copy it into the folder{" "}
          {session.value?.loopback && session.value.folder ? (
            <code class="path">{session.value.folder}</code>
          ) : (
            "where the program keeps its jobs"
          )}
          . It is a whole job, with its history, readings and photos. Then it is in the list.
        </p>
        <button type="button" onClick={again}>
          Look again
        </button>
      </details>
    </section>
  );
}

export function Ways({ taken, count, again }: { taken: readonly string[]; count: number; again: () => void }) {
  const [busy, set_busy] = useState(false);
  const show_jobs = () => {
    const list = document.getElementById("jobs");
    list?.scrollIntoView();
    list?.querySelector<HTMLElement>("a")?.focus({ preventScroll: true });
  };
  const demo = async () => {
    set_busy(true);
    await create_demo(taken);
    set_busy(false);
  };
  return (
    <div class="ways">
      <section class="sheet stack way way-first" aria-labelledby="way-new">
        <h2 id="way-new">New job</h2>
        <p>Say what you fit, paste the vehicle's pin table and the donor's, and see them compared.</p>
        <div class="buttons">
          <a class="button primary" href="#/new">
            Start a new job
          </a>
        </div>
      </section>
      <section class="sheet stack way" aria-labelledby="way-open">
        <h2 id="way-open">Open</h2>
        <p>
          {count === 0 ? "There is no job in this folder yet." : `Go on where you stopped. The list below has the jobs of this folder.`}
        </p>
        {count > 0 && (
          <div class="buttons">
            <button type="button" onClick={show_jobs}>
              {count === 1 ? "Show the job" : `Show the ${count} jobs`}
            </button>
          </div>
        )}
      </section>
      <section class="sheet stack way" aria-labelledby="way-demo">
        <h2 id="way-demo">Try the demo</h2>
        <p>An invented box van gets a power take-off. You get a copy of your own: change whatever you like.</p>
        <div class="buttons">
          <button type="button" disabled={busy} onClick={() => void demo()}>
            Open a copy of the demo
          </button>
        </div>
      </section>
      <BringFile taken={taken} again={again} />
    </div>
  );
}
