import { render } from "preact";
import type { Session } from "./api_types";
import { ask } from "./net/answer";
import { start_outbox } from "./outbox_page";
import { Page } from "./page";
import { session } from "./session";
import "./styles/base.css";
import "./styles/frame.css";
import "./styles/parts.css";
import "./styles/stages.css";
import "./styles/print.css";

const place = document.getElementById("page");
if (place) render(<Page />, place);

void ask<Session>("/api/session").then((answer) => {
  if (answer.ok) session.value = answer.value;
});
// A browser that keeps nothing (private window) still shows everything; measuring screens tell the person then.
start_outbox().catch(() => undefined);
