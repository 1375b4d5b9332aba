#include "text/encoding.h"

#include <gtest/gtest.h>

#include "tests/tables/table_text.h"

namespace loomgraft::tables_encoding_test {
namespace {

struct Decoded {
  std::string text;
  Encoding encoding;
  bool guessed, binary;
};

Decoded decode(std::string_view bytes) {
  DecodedText result;
  decode_text(bytes, result);
  return {std::string(result.text), result.encoding, result.guessed, result.binary};
}

std::string utf16(std::u16string_view text, bool little) {
  std::string out;
  for (const char16_t unit : text) {
    const char high = static_cast<char>(unit >> 8);
    const char low = static_cast<char>(unit & 0xFF);
    out.push_back(little ? low : high);
    out.push_back(little ? high : low);
  }
  return out;
}

TEST(EncodingOf, Utf8WithAndWithoutMark) {
  EXPECT_EQ(decode("Öl 20 °C").text, "Öl 20 °C");
  EXPECT_EQ(decode("\xEF\xBB\xBFÖl").text, "Öl");
  EXPECT_FALSE(decode("Öl").guessed);
}

TEST(EncodingOf, Utf16) {
  for (const bool little : {true, false}) {
    const std::string mark = little ? "\xFF\xFE" : "\xFE\xFF";
    EXPECT_EQ(decode(mark + utf16(u"Pin;Öl €\n1;😀", little)).text, "Pin;Öl €\n1;😀");
    const Decoded bare = decode(utf16(u"Pin;Signal\n1;GND\n", little));
    EXPECT_EQ(bare.text, "Pin;Signal\n1;GND\n");
    EXPECT_EQ(bare.encoding, little ? Encoding::utf16_le : Encoding::utf16_be);
    EXPECT_TRUE(bare.guessed);
  }
  EXPECT_EQ(decode(std::string("\xFF\xFE") + utf16(u"a\xD800z", true) + "b").text,
            "a\xEF\xBF\xBDz\xEF\xBF\xBD");
}

// Windows code page 1252 as mapped by the Unicode consortium (CP1252.TXT): 0x80 is U+20AC, 0x96 is U+2013.
TEST(EncodingOf, Windows1252) {
  const Decoded text = decode(
      "gr\xFCn 18\x96"
      "30V 5\x80 20\xB0");
  EXPECT_EQ(text.text, "grün 18–30V 5€ 20°");
  EXPECT_EQ(text.encoding, Encoding::windows_1252);
  EXPECT_TRUE(text.guessed);
}

TEST(EncodingOf, Binary) {
  EXPECT_TRUE(decode(std::string_view("PK\3\4\0\0\0\0\1\2\0\0", 12)).binary);
  EXPECT_FALSE(decode("a,b\n1,2\n").binary);
}

// RFC 3629, section 10: overlong forms and surrogates are not UTF-8.
TEST(EncodingOf, InvalidUtf8) {
  for (const char* bytes :
       {"\xC0\xAF", "\xE0\x80\xAF", "\xED\xA0\x80", "\xF4\x90\x80\x80", "\xE2\x82", "\x80"})
    EXPECT_FALSE(valid_utf8(bytes));
  EXPECT_TRUE(valid_utf8("\xF0\x9F\x98\x80 \xE2\x82\xAC"));
  EXPECT_EQ(repaired_utf8("a\xEDz"), "a\xEF\xBF\xBDz");
}

TEST(EncodingOf, ColumnsCountCharacters) {
  const TableText found = find_tables("Pin;Öl;Käse\n1;äöü;x\n2;é;y\n", "a.csv");
  ASSERT_EQ(found.tables.size(), 1u);
  EXPECT_EQ(found.tables[0].rows[0][2].column, 7);
  EXPECT_EQ(found.tables[0].rows[1][2].column, 5);
}

}  // namespace
}  // namespace loomgraft::tables_encoding_test
