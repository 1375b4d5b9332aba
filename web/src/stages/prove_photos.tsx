// Photos of a step: taken here, kept with it, and removed after a second question.

import { useEffect, useRef, useState } from "preact/hooks";
import type { Photo } from "../api_types";
import { show_message } from "../message";
import { graft } from "../net/graft";
import { add_photo, use_photos } from "../net/photos";
import { ask, graft_path } from "../net/request";
import { discard_entry, picture_of } from "../net/waiting";
import type { Stored } from "../outbox";

const by = (author: string | undefined) => (author ? ` by ${author}` : "");

// The harmless answer gets the focus; after either answer the focus returns to the photo.
function RemoveQuestion({ name, remove, keep }: { name: string; remove: () => void; keep: () => void }) {
  const first = useRef<HTMLButtonElement>(null);
  useEffect(() => first.current?.focus(), []);
  return (
    <span class="photo-question" role="group" aria-label={`Remove ${name}`} onKeyDown={(event) => event.key === "Escape" && keep()}>
      <span>Remove {name} for good? This cannot be undone.</span>
      <button type="button" ref={first} onClick={keep}>
        Keep it
      </button>
      <button type="button" class="danger" onClick={remove}>
        Remove it
      </button>
    </span>
  );
}

function PhotoEntry({ photo, name, remove }: { photo: Photo; name: string; remove: () => Promise<void> }) {
  const [asking, set_asking] = useState(false);
  const [asked, set_asked] = useState(false);
  const spot = useRef<HTMLButtonElement>(null);
  const gone = useRef<HTMLSpanElement>(null);
  const removed = photo.removed !== undefined;
  useEffect(() => {
    if (asked && !asking) (removed ? gone : spot).current?.focus();
  }, [asked, asking, removed]);
  if (photo.removed) {
    return (
      <span ref={gone} tabIndex={-1}>
        {name} was removed{by(photo.removed.author)}.
      </span>
    );
  }
  if (asking)
    return <RemoveQuestion name={name} remove={() => void remove().then(() => set_asking(false))} keep={() => set_asking(false)} />;
  return (
    <span class="photo">
      <a
        class="button"
        href={graft_path(graft.value?.name ?? "", `/photos/${encodeURIComponent(photo.id)}`)}
        target="_blank"
        rel="noreferrer"
      >
        {name}
        {by(photo.author)}
      </a>
      <button
        type="button"
        ref={spot}
        aria-label={`Remove ${name}`}
        onClick={() => {
          set_asked(true);
          set_asking(true);
        }}
      >
        Remove photo
      </button>
    </span>
  );
}

// The program does not have it yet: it is shown from this device.
function PhotoHere({ entry, name }: { entry: Stored; name: string }) {
  const [asking, set_asking] = useState(false);
  const [address, set_address] = useState("");
  useEffect(() => {
    let made = "";
    let gone = false;
    void picture_of(entry.id).then((picture) => {
      if (!picture || gone || entry.content.kind !== "photo") return;
      made = URL.createObjectURL(new Blob([picture], { type: entry.content.mime }));
      set_address(made);
    });
    return () => {
      gone = true;
      URL.revokeObjectURL(made);
    };
  }, [entry.id]);
  if (asking && entry.state === "pending")
    return <RemoveQuestion name={name} remove={() => void discard_entry(entry.id)} keep={() => set_asking(false)} />;
  return (
    <span class="photo" data-waits>
      <a class="button" href={address || undefined} target="_blank" rel="noreferrer">
        {name}
      </a>
      <span class="soft">{entry.state === "saved" ? "being saved" : "waits on this device"}</span>
      {entry.state === "pending" && (
        <button type="button" aria-label={`Remove ${name}`} onClick={() => set_asking(true)}>
          Remove photo
        </button>
      )}
    </span>
  );
}

export function Photos({ subject, about }: { subject: string; about: string }) {
  const name = graft.value?.name ?? "";
  const { photos, here, again } = use_photos(subject);
  const remove = async (photo: Photo) => {
    const answer = await ask(graft_path(name, `/photos/${encodeURIComponent(photo.id)}`), { method: "DELETE" });
    if (answer.ok) again();
    else show_message(`The photo was not removed. ${answer.problems[0]?.message ?? ""}`, "error");
  };
  return (
    <div class="photos no-print">
      <label class="button">
        Take a photo
        <input
          class="visually-hidden"
          type="file"
          accept="image/jpeg,image/png,image/webp"
          capture="environment"
          onChange={(event) => {
            const file = event.currentTarget.files?.[0];
            if (file) void add_photo(subject, file, about);
            event.currentTarget.value = "";
          }}
        />
      </label>
      {photos.map((photo, index) => (
        <PhotoEntry key={photo.id} photo={photo} name={`Photo ${index + 1}`} remove={() => remove(photo)} />
      ))}
      {here.map((entry, index) => (
        <PhotoHere key={entry.id} entry={entry} name={`Photo ${photos.length + index + 1}`} />
      ))}
    </div>
  );
}
