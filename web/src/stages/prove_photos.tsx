// Photos of a step: taken here, kept with it, and removed after a second question.

import { useEffect, useRef, useState } from "preact/hooks";
import type { Photo } from "../api_types";
import { show_message } from "../message";
import { photo_count } from "../net/events";
import { graft } from "../net/graft";
import { ask, graft_path } from "../net/request";

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

export function Photos({ subject }: { subject: string }) {
  const name = graft.value?.name ?? "";
  const [photos, set_photos] = useState<Photo[]>([]);
  const read = () =>
    void ask<{ photos: Photo[] }>(graft_path(name, "/photos")).then((answer) => {
      if (answer.ok) set_photos(answer.value.photos.filter((photo) => photo.subject === subject));
    });
  const count = photo_count.value;
  useEffect(read, [name, subject, count]);
  const remove = async (photo: Photo) => {
    const answer = await ask(graft_path(name, `/photos/${encodeURIComponent(photo.id)}`), { method: "DELETE" });
    if (answer.ok) read();
    else show_message(`The photo was not removed. ${answer.problems[0]?.message ?? ""}`, "error");
  };
  const send = async (file: File) => {
    const query = new URLSearchParams({ subject, name: file.name });
    const answer = await ask(graft_path(name, `/photos?${query.toString()}`), { method: "POST", raw: file });
    if (answer.ok) read();
    else show_message(`The photo was not saved. ${answer.problems[0]?.message ?? ""}`, "error");
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
            if (file) void send(file);
            event.currentTarget.value = "";
          }}
        />
      </label>
      {photos.map((photo, index) => (
        <PhotoEntry key={photo.id} photo={photo} name={`Photo ${index + 1}`} remove={() => remove(photo)} />
      ))}
    </div>
  );
}
