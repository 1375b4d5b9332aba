// Usage: node tests/browser/main.mjs [part of a test's name]
import { run_all } from "./runner.mjs";
import "./model_test.mjs";
import "./walk_test.mjs";
import "./start_test.mjs";
import "./jobs_test.mjs";
import "./live_test.mjs";
import "./prove_test.mjs";
import "./plan_time_test.mjs";
import "./reading_test.mjs";
import "./meter_test.mjs";
import "./matrix_test.mjs";
import "./safety_test.mjs";
import "./screens_test.mjs";
import "./compare_test.mjs";
import "./loom_model_test.mjs";
import "./loom_test.mjs";
import "./loom_together_test.mjs";
import "./files_test.mjs";
import "./find_symptom_test.mjs";
import "./outbox_test.mjs";
import "./tls_test.mjs";
import "./phone_test.mjs";

process.exitCode = (await run_all(process.argv[2] ?? "")) ? 0 : 1;
