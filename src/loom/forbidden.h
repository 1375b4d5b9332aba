// Circuits that are not to be planned, designed, probed, cut, moved or driven: restraint systems and high voltage.
//
// Model   the document says so (`forbidden`, or an answer of a person); or a word of it does
//         (standards/restraint_words.h), or thick orange wire: then it is presumed so until a person answers. A circuit
//         reaches along its wires, through plugs and parts of two terminals, as far as pins of modules; not beyond
//         joints, earths, fuses, batteries and key switches, which others share
// Gives   all that belongs to such circuits; and what is presumed only, each with the text that says so. An answer
//         counts for the text that it was given to: another text is asked about again
// Fails   never. A circuit that is not in it is not known to be harmless
// Cost    n log n in the size of the document
#pragma once

#include <set>
#include <string>
#include <vector>

#include "base/problem.h"
#include "loom/graft.h"
#include "standards/restraint_words.h"

namespace loomgraft {

struct PresumedPart {
  SafetySubject subject = SafetySubject::pin;
  WireEnd at;        // the id of what it is; a cavity for a pin only
  std::string said;  // the text, whole
  std::string word;  // what in it
  RestraintKind kind = RestraintKind::restraint;
  std::string name;     // of the part, for people
  std::string pointer;  // JSON pointer of it
  bool operator==(const PresumedPart&) const = default;
};

struct ForbiddenParts {
  std::set<WireEnd> ends;  // an empty cavity: the whole device or connector
  std::set<std::string> wires;
  std::vector<PresumedPart> presumed;  // in the order of the document

  bool has(const WireEnd& end) const { return ends.contains(end) || ends.contains({end.at, ""}); }
  bool has(const CavityRef& at) const { return has(WireEnd{at.connector, at.cavity}); }
  bool has_device(const std::string& id) const { return ends.contains({id, ""}); }
};

// Of the loom as found and as planned together.
ForbiddenParts forbidden_parts(const Graft& graft);

// Lets what is forbidden reach along these wires.
void spread(ForbiddenParts& parts, const Graft& graft, const std::vector<Wire>& wires);

// presumed-restraint for each part that waits for an answer; no-such-id for answers about what is not there.
Problems check_safety(const Graft& graft, const ForbiddenParts& forbidden);

}  // namespace loomgraft
