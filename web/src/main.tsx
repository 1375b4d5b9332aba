import { render } from "preact";
import type { Session } from "./api_types";
import { ask } from "./net/answer";
import "./net/readings";
import { Page } from "./page";
import { session } from "./session";
import "./styles/base.css";
import "./styles/frame.css";
import "./styles/parts.css";
import "./styles/stages.css";
import "./styles/prove.css";
import "./styles/print.css";

const place = document.getElementById("page");
if (place) render(<Page />, place);

void ask<Session>("/api/session").then((answer) => {
  if (answer.ok) session.value = answer.value;
});
