// Every code that a Problem can have.
//
// Model   one row a code: its usual severity, the HTTP status of an answer that it refuses (RFC 9110, section 15; RFC
//         4918, section 11.5; RFC 6585), and what it means
// Needs   rows in the order of their codes
// Gives   ProblemCode, made of a literal and checked by the compiler: a code that has no row does not build
#pragma once

#include <algorithm>
#include <concepts>
#include <iterator>
#include <ostream>
#include <string>
#include <string_view>

namespace loomgraft {

enum class Severity { note, warning, error };

struct ProblemCodeRow {
  std::string_view code;
  Severity severity;
  int http_status;
  std::string_view meaning;
};

inline constexpr ProblemCodeRow problem_codes[] = {
    {"attachment-list-not-usable", Severity::error, 400, "the list of a folder of photos cannot be read"},
    {"attachments-lost", Severity::warning, 400, "photos of a damaged file are lost"},
    {"bad-base64", Severity::error, 400, "a part that should be base64 is not"},
    {"bad-column-choice", Severity::error, 400, "a column was given a meaning that no column has"},
    {"bad-condition", Severity::error, 400, "the text of a condition has a part that says nothing"},
    {"bad-corner", Severity::error, 400, "no such corner: nominal, weakest, strongest"},
    {"bad-element", Severity::error, 400, "a circuit element has a value that no element can have"},
    {"bad-json", Severity::error, 400, "text that should be JSON is not"},
    {"bad-length", Severity::error, 400, "the announced length of a request's body is no number"},
    {"bad-meter-address", Severity::error, 400, "the address of a meter cannot be used"},
    {"bad-reading", Severity::error, 400, "a reading is not written as TEST=VALUE"},
    {"bad-record", Severity::warning, 400, "one record of a list cannot be read"},
    {"bad-size", Severity::error, 400, "a figure that nothing in a loom can have"},
    {"bad-supply", Severity::error, 400, "a vehicle's supply is neither 12 V nor 24 V"},
    {"bad-weight", Severity::error, 400, "the trust in a source is not above zero"},
    {"binary-input", Severity::error, 400, "the input is no text"},
    {"body-not-plain", Severity::error, 415, "a request's body is compressed or in parts"},
    {"bug", Severity::error, 500, "the program failed by a mistake of its own"},
    {"busy", Severity::error, 503, "another program writes to the file, or too much is being computed"},
    {"cancelled", Severity::note, 409, "a person stopped the work"},
    {"cavity-claimed-twice", Severity::warning, 400, "two pins, or two plans, want one cavity"},
    {"cavity-twice", Severity::error, 400, "a connector lists a cavity twice"},
    {"cell-too-long", Severity::warning, 400, "a cell of a table is longer than is read"},
    {"certainty-impossible", Severity::error, 400, "a certainty is not between 0 and 1"},
    {"changed-meanwhile", Severity::error, 409, "someone else changed the same thing first"},
    {"circuit-answered-twice", Severity::error, 400, "a pair of pins has two answers"},
    {"circuit-paired-twice", Severity::error, 400, "a pin was said to be one circuit with two others"},
    {"colour-ambiguous", Severity::note, 400, "a colour word has more than one meaning"},
    {"colour-column-chosen", Severity::note, 400, "a table has several columns of wire colours"},
    {"colour-notation", Severity::note, 400, "the colour code of a plug is not certain"},
    {"colour-unknown", Severity::warning, 400, "a colour word is not known"},
    {"copy-incomplete", Severity::warning, 400, "a file was copied without the log that was part of it"},
    {"damaged", Severity::error, 500, "a graft file is damaged"},
    {"disk-full", Severity::error, 507, "there is no room on the disk"},
    {"document-lost", Severity::warning, 400, "a damaged file has no document that can be rebuilt"},
    {"document-not-usable", Severity::error, 400, "a document cannot be used as a graft"},
    {"drawn-smaller", Severity::note, 400, "a drawing is smaller than is easy to read"},
    {"duplicate-cavity", Severity::warning, 400, "a table has two rows for one cavity"},
    {"duplicate-id", Severity::error, 400, "two parts of a drawing have one id"},
    {"empty-column", Severity::note, 400, "a column that was chosen is empty"},
    {"empty-input", Severity::error, 400, "there is nothing in the input"},
    {"empty-with-colour", Severity::warning, 400, "a cavity was seen empty and with a wire"},
    {"encoding-guessed", Severity::note, 400, "the character encoding was guessed"},
    {"encrypted-file", Severity::error, 400, "a file is locked with a password"},
    {"end-elsewhere", Severity::error, 400, "a plan moves an end of a wire that is somewhere else"},
    {"end-unknown", Severity::warning, 400, "a wire ends at something the document does not have"},
    {"entries-altered", Severity::warning, 400, "entries of a file are not what was written"},
    {"entries-lost", Severity::warning, 400, "readings, ticks or photos of a damaged file are lost"},
    {"entry-not-usable", Severity::error, 400, "a reading, tick or photo has an unusable field"},
    {"file-damaged", Severity::error, 400, "a spreadsheet or PDF is damaged"},
    {"file-exists", Severity::error, 409, "a file of this name is there already"},
    {"file-kind-not-read", Severity::error, 400, "no table is read from files of this kind"},
    {"file-replaced", Severity::error, 409, "a file was replaced, cut or removed while it was open"},
    {"first-page-lost", Severity::warning, 400, "the first page of a damaged file was replaced"},
    {"floating-node", Severity::error, 400, "a part of a circuit has no path to the reference"},
    {"forbidden", Severity::error, 400, "a restraint or high-voltage circuit: nothing is planned on it"},
    {"foreign-host", Severity::error, 403, "the request names another host"},
    {"foreign-origin", Severity::error, 403, "the request comes from another site"},
    {"formula-cell", Severity::note, 400, "a cell holds a spreadsheet formula"},
    {"hashes-started", Severity::note, 400, "a file of an earlier version gets hashes from now on"},
    {"held-sideways", Severity::note, 400, "the plug is seen turned by a quarter"},
    {"id-taken", Severity::error, 409, "an id is used for something else already"},
    {"id-twice", Severity::error, 400, "an id stands twice in its list"},
    {"is-a-folder", Severity::error, 400, "a folder was named where a file is needed"},
    {"length-required", Severity::error, 411, "a request with a body must announce its length"},
    {"line-not-read", Severity::warning, 400, "a line outside the tables names a cavity that no row has"},
    {"live-circuit", Severity::error, 409, "ohms were asked for while there may be power in the loom"},
    {"log-ignored", Severity::warning, 400, "a log cannot be read where nothing can be written"},
    {"log-moved-aside", Severity::warning, 400, "a log that belongs to another file was moved aside"},
    {"loose-wire", Severity::warning, 400, "an end of a wire leads nowhere"},
    {"meter-not-ready", Severity::error, 409, "an attached meter shows nothing that can be used for this"},
    {"move-collision", Severity::error, 400, "a move would put two terminals into one cavity"},
    {"move-no-cavity", Severity::error, 400, "a move leads to a cavity that is not there"},
    {"move-replay", Severity::error, 400, "the order of moves does not lead to the plan"},
    {"nested-too-deep", Severity::error, 400, "a document is nested deeper than is read"},
    {"network-folder", Severity::note, 400, "a file is on a share, where it is kept without a log"},
    {"newer-file", Severity::error, 500, "a graft file was written by a newer program"},
    {"newer-version", Severity::error, 400, "a document was written by a newer program"},
    {"no-certificate", Severity::error, 500, "the certificate of a folder cannot be made or read"},
    {"no-coil", Severity::warning, 400, "a relay has no coil"},
    {"no-fuse-on-the-way", Severity::error, 400, "no fuse protects this wire"},
    {"no-id", Severity::error, 400, "an item that needs an id has none"},
    {"no-json", Severity::error, 400, "a request's body must be JSON"},
    {"no-memory", Severity::error, 503, "a request needs more memory than there is"},
    {"no-meter", Severity::error, 409, "no meter is attached"},
    {"no-network", Severity::warning, 409, "no address by which another device could reach this computer"},
    {"no-number", Severity::warning, 400, "a reading is no number"},
    {"no-open-end", Severity::error, 409, "a wire has no open end at a pin"},
    {"no-operating-point", Severity::error, 400, "values of a circuit span more than can be computed"},
    {"no-pin-table", Severity::error, 400, "no table of pins was found"},
    {"no-pins", Severity::error, 400, "a module has no pins"},
    {"no-place", Severity::error, 400, "a path names a place that is not there"},
    {"no-plugs", Severity::error, 400, "there is no plug with a known face"},
    {"no-reading", Severity::error, 400, "a request names no reading"},
    {"no-revision", Severity::error, 400, "an edit must name the revision it was made on"},
    {"no-rows", Severity::note, 400, "a table has a head and no rows"},
    {"no-such-cavity", Severity::error, 400, "no cavity of this name"},
    {"no-such-circuit", Severity::error, 400, "no circuit of this name"},
    {"no-such-connector", Severity::error, 404, "no connector of this name"},
    {"no-such-device", Severity::error, 404, "no paired device of this number"},
    {"no-such-fact", Severity::error, 400, "nothing of this name can be changed"},
    {"no-such-fault", Severity::error, 400, "no fault of this id"},
    {"no-such-file", Severity::error, 400, "no file of this name"},
    {"no-such-id", Severity::error, 400, "an id is used that is not there"},
    {"no-such-job", Severity::error, 404, "no job of this number"},
    {"no-such-meter", Severity::error, 400, "no meter of this name"},
    {"no-such-module", Severity::error, 404, "no module of this name"},
    {"no-such-pin", Severity::error, 400, "no pin in this cavity"},
    {"no-such-place", Severity::error, 400, "a test names a point that the network does not have"},
    {"no-such-plug", Severity::warning, 400, "the vehicle has no plug for a plug of the donor"},
    {"no-such-recipe", Severity::error, 404, "there is no recipe of this name"},
    {"no-such-remedy", Severity::error, 409, "the design does not offer this remedy"},
    {"no-such-revision", Severity::error, 412, "no revision of this number"},
    {"no-such-rule", Severity::error, 400, "a rule set has no rule of this name"},
    {"no-such-rule-set", Severity::error, 400, "no rule set of this name"},
    {"no-such-terminal", Severity::error, 400, "a device has no terminal of this name"},
    {"no-such-test", Severity::warning, 400, "a reading is of a test that is not in the plan"},
    {"no-table", Severity::error, 400, "no table was found in the input"},
    {"no-terminal", Severity::warning, 400, "a device has fewer terminals than its kind needs"},
    {"no-tick", Severity::error, 400, "a request names no tick"},
    {"no-version", Severity::error, 400, "a document does not say its version"},
    {"no-view", Severity::warning, 400, "a connector does not say from which side its rows are listed"},
    {"not-a-graft", Severity::error, 400, "a JSON document is no graft"},
    {"not-a-graft-file", Severity::error, 500, "a file is no graft file"},
    {"not-a-pin-table", Severity::note, 400, "a table was left because it holds no pins"},
    {"not-editable", Severity::error, 409, "a change does not fit the wire or device"},
    {"not-explained", Severity::warning, 400, "no fault explains all readings"},
    {"not-found", Severity::error, 404, "nothing of this name"},
    {"not-paired", Severity::error, 401, "the device is not paired"},
    {"not-proven", Severity::note, 400, "entries are readable but have no hash to prove them"},
    {"not-written", Severity::error, 500, "a file could not be written"},
    {"nothing-added", Severity::error, 400, "a plan adds a wire without describing it"},
    {"nothing-recovered", Severity::error, 400, "nothing of a damaged file could be read"},
    {"nothing-seen", Severity::error, 400, "an observation says nothing"},
    {"nothing-to-redo", Severity::error, 409, "there is no change to bring back"},
    {"nothing-to-undo", Severity::error, 409, "there is no change to take back"},
    {"nothing-to-watch", Severity::error, 400, "the network has no such point or branch"},
    {"observation-contradicts", Severity::warning, 400,
     "two observations of one cavity contradict each other"},
    {"observation-unclear", Severity::warning, 400, "a part of an observation was not understood"},
    {"observation-unsure", Severity::note, 400, "a part of an observation has more than one meaning"},
    {"one-file-only", Severity::error, 400, "the program was started on one file"},
    {"one-module", Severity::error, 400, "a module has a role that only one may have"},
    {"open-hazards", Severity::warning, 400, "a plan goes on over hazards that nobody has confirmed"},
    {"other-shape", Severity::error, 400, "networks that are compared have different elements"},
    {"partner-pin-in-use", Severity::warning, 400,
     "a pin that a circuit needs has a wire that leads elsewhere"},
    {"partner-pin-missing", Severity::warning, 400, "a module has no free pin that a circuit needs"},
    {"patch-does-not-apply", Severity::error, 400, "a change does not fit the document"},
    {"place-impossible", Severity::error, 400, "a row or column below 1"},
    {"place-incomplete", Severity::note, 400, "a row without a column, or a column without a row"},
    {"place-shared", Severity::error, 400, "two wires of the planned loom would be in one cavity"},
    {"plug-missing", Severity::warning, 400, "a plug that was asked for has no known face"},
    {"port-taken", Severity::error, 400, "another program listens on this port"},
    {"presumed-restraint", Severity::warning, 400,
     "words name a restraint or high-voltage circuit; nobody has answered"},
    {"prior-impossible", Severity::error, 400, "a prior is negative or all are zero"},
    {"proven-whole", Severity::note, 400, "entries are proven to be what was written"},
    {"read-only", Severity::error, 403, "the file was opened for reading only"},
    {"readings-lost", Severity::warning, 400, "readings of a damaged file are lost"},
    {"readings-not-edited", Severity::error, 400, "readings cannot be changed by an edit"},
    {"relay-oscillates", Severity::warning, 400, "a relay finds no rest"},
    {"release-above-pull-in", Severity::error, 400,
     "a relay releases above the voltage at which it pulls in"},
    {"removed", Severity::error, 410, "a photo was removed"},
    {"revisions-lost", Severity::warning, 400, "revisions of a damaged file are lost"},
    {"row-too-long", Severity::note, 400, "a row has more cells than its head"},
    {"row-without-cavity", Severity::warning, 400, "a row of a pin table names no cavity"},
    {"rows-guessed", Severity::note, 400, "the rows of a plug were guessed"},
    {"runs-away", Severity::error, 400, "a wire would melt before it reaches a steady temperature"},
    {"scanned-pages", Severity::error, 400, "the pages of a PDF are pictures without text"},
    {"several-modules", Severity::warning, 400, "a table describes more than one module"},
    {"state-not-solved", Severity::warning, 400, "a condition could not be solved"},
    {"stopped", Severity::error, 409, "a person stopped the work"},
    {"table-skipped", Severity::warning, 400, "a table that may hold pins was not read"},
    {"text-outside-cell", Severity::warning, 400, "text stands between the cells of a table"},
    {"this-machine-only", Severity::error, 403, "only this computer may do this"},
    {"ticks-lost", Severity::warning, 400, "ticks of a damaged file are lost"},
    {"too-large", Severity::error, 413, "the input is larger than is read"},
    {"too-many-keys", Severity::warning, 400, "a record has more fields than is read"},
    {"too-many-listeners", Severity::error, 503, "too many pages follow this graft"},
    {"too-many-tries", Severity::error, 429, "too many wrong pairing codes"},
    {"two-terminals", Severity::error, 400, "two wires are in one cavity"},
    {"unclosed-quote", Severity::warning, 400, "a quotation mark is not closed"},
    {"unknown-colour", Severity::warning, 400, "a colour is not known"},
    {"unknown-kind", Severity::error, 400, "a device is of a kind that is not known"},
    {"unknown-member", Severity::warning, 400, "a field that is not known was left out"},
    {"unknown-wire", Severity::error, 400, "a plan names a wire that is not there"},
    {"unknown-word", Severity::error, 400, "a name is not one of those allowed"},
    {"unreadable", Severity::error, 400, "a file cannot be read"},
    {"unsafe-name", Severity::error, 400, "a name that no file may have"},
    {"unseen-characters", Severity::error, 400,
     "a text has characters that nobody sees, or that turn its direction"},
    {"unsigned-answer", Severity::error, 400, "an answer about a safety circuit has no name or no time"},
    {"use-without-pin", Severity::warning, 400, "a line tells the use of a pin that no table has"},
    {"uses-noted", Severity::note, 400, "lines that tell uses of pins were added to them"},
    {"view-assumed", Severity::note, 400, "the side from which the plug is seen was assumed"},
    {"wire-to-itself", Severity::error, 400, "both ends of a wire are the same"},
    {"worked-and-removed", Severity::error, 400, "a device is worked and taken out at once"},
    {"wrong-code", Severity::error, 401, "the pairing code is wrong or too old"},
    {"wrong-method", Severity::error, 405, "the address does not take this method"},
    {"wrong-type", Severity::error, 400, "a value is of another type"},
    {"wrong-unit", Severity::warning, 400, "a reading has another unit than its test"},
};
static_assert(std::ranges::is_sorted(problem_codes, {}, &ProblemCodeRow::code));

inline constexpr std::size_t no_problem_code = std::size(problem_codes);

// The row of a code; no_problem_code where there is none. By index: under sanitizers g++ 12 takes no address of a row for a
// constant.
constexpr std::size_t problem_code_row(std::string_view code) {
  std::size_t row = 0;
  while (row < no_problem_code && problem_codes[row].code != code) ++row;
  return row;
}

// Not defined: a call of it while compiling is the error that says so, also where there are no exceptions.
void this_table_has_no_such_code();

class ProblemCode {
 public:
  constexpr ProblemCode() = default;
  consteval ProblemCode(const char* code)
      : row_(problem_code_row(code)) {  // NOLINT(google-explicit-constructor)
    if (row_ == no_problem_code) this_table_has_no_such_code();
  }

  constexpr operator std::string_view() const {  // NOLINT(google-explicit-constructor)
    return row_ < no_problem_code ? problem_codes[row_].code : std::string_view();
  }
  constexpr std::string_view text() const { return *this; }
  constexpr int http_status() const { return row_ < no_problem_code ? problem_codes[row_].http_status : 400; }

  constexpr bool operator==(const ProblemCode&) const = default;
  template <std::convertible_to<std::string_view> Text>
  friend constexpr bool operator==(ProblemCode code, const Text& text) {
    return code.text() == std::string_view(text);
  }
  friend std::ostream& operator<<(std::ostream& out, ProblemCode code) { return out << code.text(); }

 private:
  std::size_t row_ = no_problem_code;
};

}  // namespace loomgraft
