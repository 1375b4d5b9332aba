// Random secrets, and how they are compared.
//
// Gives   bytes of the kernel's generator (getrandom(2)); comparison in a time that does not depend on where
//         two texts differ
// Fails   ends the program if the kernel gives no random bytes: no secret could be made safely
#pragma once

#include <string>
#include <string_view>

namespace loomgraft::serve {

// At least `bits` in digits and small letters without those that read alike, to be typed by hand.
std::string typed_secret(int bits);
// `bits` (a multiple of 8) as hexadecimal digits.
std::string hex_secret(int bits);

// What a person typed, as typed_secret() gives it: capitals, blanks and dashes do not count.
std::string tidy_secret(std::string_view typed);

bool same_secret(std::string_view a, std::string_view b);

}  // namespace loomgraft::serve
