// What each route does: read the Call, call the stage or the store, and write the result as JSON.
#pragma once

#include "http/call.h"

namespace loomgraft {
class Workbench;
}

namespace loomgraft::serve {

// Page and devices (session_calls.cpp)
Answer get_page(Workbench& bench, const Call& call);
Answer get_page_file(Workbench& bench, const Call& call);
Answer get_pair_file(Workbench& bench, const Call& call);
Answer get_session(Workbench& bench, const Call& call);
Answer post_pair(Workbench& bench, const Call& call);
Answer get_authority(Workbench& bench, const Call& call);
Answer trust_page(const Call& call);
Answer get_devices(Workbench& bench, const Call& call);
Answer delete_device(Workbench& bench, const Call& call);
Answer post_leave(Workbench& bench, const Call& call);
Answer get_join(Workbench& bench, const Call& call);

// Documents (graft_calls.cpp, history_calls.cpp)
Answer get_grafts(Workbench& bench, const Call& call);
Answer post_graft(Workbench& bench, const Call& call);
Answer get_graft(Workbench& bench, const Call& call);
Answer patch_graft(Workbench& bench, const Call& call);
Answer get_export(Workbench& bench, const Call& call);
Answer post_import(Workbench& bench, const Call& call);
Answer post_undo(Workbench& bench, const Call& call);
Answer post_redo(Workbench& bench, const Call& call);
Answer get_history(Workbench& bench, const Call& call);

// Dated copies (copy_calls.cpp)
Answer get_copies(Workbench& bench, const Call& call);
Answer post_copy(Workbench& bench, const Call& call);
Answer get_copy(Workbench& bench, const Call& call);
Answer post_put_back(Workbench& bench, const Call& call);

// Tables in (table_calls.cpp)
Answer post_tables(Workbench& bench, const Call& call);
Answer post_graft_table(Workbench& bench, const Call& call);

// Stages (report_calls.cpp, plug_calls.cpp) and drawings (drawing_calls.cpp)
Answer get_check(Workbench& bench, const Call& call);
Answer get_compare(Workbench& bench, const Call& call);
Answer get_rank(Workbench& bench, const Call& call);
Answer get_design(Workbench& bench, const Call& call);
Answer get_solve(Workbench& bench, const Call& call);
Answer get_job(Workbench& bench, const Call& call);
Answer delete_job(Workbench& bench, const Call& call);
Answer post_plug(Workbench& bench, const Call& call);
Answer post_proposal(Workbench& bench, const Call& call);
// Circuit cards (circuit_calls.cpp)
Answer get_circuits(Workbench& bench, const Call& call);
Answer get_recipes(Workbench& bench, const Call& call);
Answer post_circuit_change(Workbench& bench, const Call& call);
// The test plan and the search (prove_calls.cpp)
Answer get_prove(Workbench& bench, const Call& call);
Answer get_find(Workbench& bench, const Call& call);
Answer get_practice(Workbench& bench, const Call& call);
Answer get_symptoms(Workbench& bench, const Call& call);
Answer get_matrix(Workbench& bench, const Call& call);
Answer get_face(Workbench& bench, const Call& call);
Answer get_diagram(Workbench& bench, const Call& call);
Answer get_time_current(Workbench& bench, const Call& call);

// What is appended (entry_calls.cpp, photo_calls.cpp)
Answer get_ticks(Workbench& bench, const Call& call);
Answer put_tick(Workbench& bench, const Call& call);
Answer get_readings(Workbench& bench, const Call& call);
Answer post_reading(Workbench& bench, const Call& call);
Answer get_photos(Workbench& bench, const Call& call);
Answer post_photo(Workbench& bench, const Call& call);
Answer get_photo(Workbench& bench, const Call& call);
Answer delete_photo(Workbench& bench, const Call& call);

// The attached meter (meter_calls.cpp)
Answer get_meter(Workbench& bench, const Call& call);
Answer post_meter(Workbench& bench, const Call& call);
Answer post_meter_zero(Workbench& bench, const Call& call);

// Events (event_calls.cpp)
Answer get_events(Workbench& bench, const Call& call);

}  // namespace loomgraft::serve
