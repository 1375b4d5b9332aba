import { render } from "preact";
import type { Session } from "./api_types";
import { start_offline } from "./net/offline";
import { ask } from "./net/request";
import { Page } from "./page";
import { session } from "./session";
import "./styles/base.css";
import "./styles/frame.css";
import "./styles/parts.css";
import "./styles/stages.css";
import "./styles/prove.css";
import "./styles/prove_time.css";
import "./styles/start.css";
import "./styles/compare.css";
import "./styles/circuits.css";
import "./styles/loom.css";
import "./styles/waiting.css";
import "./styles/print.css";

const root = document.getElementById("page");
if (root) render(<Page />, root);

void ask<Session>("/api/session").then((answer) => {
  if (answer.ok) session.value = answer.value;
});

start_offline();
