// What the parts of a proposed circuit are called, after its signal: "fog lamp relay", "fog lamp left".
#pragma once

#include <cstddef>
#include <set>
#include <string>

#include "recipes/recipe.h"

namespace loomgraft::recipes {

// The words of a text in lower case; a plural also without its s.
std::set<std::string> words_in(const std::string& text);

// The signal without words that only describe the pin ("fog lamp relay control" -> "fog lamp"); the cavity for no signal.
std::string base_name(const std::string& signal, const std::string& cavity);
std::string role_text(const std::string& role);  // "coil_return" -> "coil return"
std::string part_name(const Recipe& recipe, const RecipePart& part, const std::string& base);
// Lower case letters, digits and underscores.
std::string id_like(const std::string& name);

// Parts that draw the recipe's current, and how many there are.
bool is_load(const Recipe& recipe, const RecipePart& part);
std::size_t loads_in(const Recipe& recipe);

}  // namespace loomgraft::recipes
