// A proof as bytes, to keep between two runs of the program.
//
// Model   the whole report, and the reading of every test under every fault. Codes of problems are kept by their row: only
//         the program that wrote the file may read it
// Gives   the same reports of prove and find, byte for byte, as from the proof itself
// Fails   none for bytes that are cut short, altered or of another version: make the proof again
// Cost    linear; a byte for each cell, four where a test shows more than 256 intervals
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "prove/prove.h"

namespace loomgraft {

std::string proof_to_bytes(const Proof& proof);
std::optional<Proof> proof_from_bytes(std::string_view bytes);

}  // namespace loomgraft
