// Photos of a step: taken here, kept with it.

import { useEffect, useState } from "preact/hooks";
import { ask, graft_path } from "../net/answer";
import { graft } from "../net/graft";
import { say } from "../say";

interface Photo {
  id: string;
  subject: string;
  author?: string;
}

export function Photos({ subject }: { subject: string }) {
  const name = graft.value?.name ?? "";
  const [photos, set_photos] = useState<Photo[]>([]);
  const read = () =>
    void ask<{ photos: Photo[] }>(graft_path(name, "/photos")).then((answer) => {
      if (answer.ok) set_photos(answer.value.photos.filter((photo) => photo.subject === subject));
    });
  useEffect(read, [name, subject]);
  const send = async (file: File) => {
    const query = new URLSearchParams({ subject, name: file.name });
    const answer = await ask(graft_path(name, `/photos?${query.toString()}`), { method: "POST", raw: file });
    if (answer.ok) read();
    else say(`The photo was not saved. ${answer.problems[0]?.message ?? ""}`, "error");
  };
  return (
    <div class="photos no-print">
      <label class="button">
        Take a photo
        <input
          class="unseen"
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
        <a key={photo.id} href={graft_path(name, `/photos/${encodeURIComponent(photo.id)}`)} target="_blank" rel="noreferrer">
          Photo {index + 1}
          {photo.author ? ` by ${photo.author}` : ""}
        </a>
      ))}
    </div>
  );
}
