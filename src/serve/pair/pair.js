// Trades the code for a session of this device. The code of a scanned address stands after the #, which no browser sends.
"use strict";

const words = document.getElementById("words");
const field = document.getElementById("token");

async function pair(token) {
  words.textContent = "Pairing …";
  let answer;
  try {
    answer = await fetch("/api/pair", {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify({ token }),
    });
  } catch {
    words.textContent = "The workbench does not answer. Is this device on its network?";
    return;
  }
  if (answer.ok) {
    location.replace("/");
    return;
  }
  const told = await answer.json().catch(() => null);
  const problem = told && told.problems && told.problems[0];
  words.textContent = problem ? `${problem.message} ${problem.remedy}` : `Not paired (${answer.status}).`;
}

document.getElementById("form").addEventListener("submit", (event) => {
  event.preventDefault();
  void pair(field.value);
});

const scanned = new URLSearchParams(location.hash.slice(1)).get("pair");
if (scanned) {
  history.replaceState(null, "", "/");
  field.value = scanned;
  void pair(scanned);
}
