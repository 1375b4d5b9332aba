// Answers of meters, line by line.
#include "instrument/reply.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace loomgraft::instrument_reply_test {
namespace {

using namespace loomgraft::instrument;
constexpr auto ohms = MeterFunction::ohms;
constexpr auto volts = MeterFunction::volts;
constexpr auto amperes = MeterFunction::amperes;

struct NumberCase {
  const char* line;
  MeterFunction function;
  double amount;
};

TEST(Reply, NumbersInEachOfTheirForms) {
  const NumberCase cases[] = {
      {"+1", volts, 1},                  // NR1
      {"-12.60", volts, -12.6},          // NR2
      {"+1.26000000E+01", volts, 12.6},  // NR3
      {"1.5", ohms, 1.5},
      {".5", ohms, 0.5},
      {" 4.7E3 ", ohms, 4700},
      {"12.6 V", volts, 12.6},
      {"12.6VDC", volts, 12.6},
      {"85 mV", volts, 0.085},
      {"85 MV", volts, 0.085},  // M is milli, as IEEE 488.2 has it
      {"4.7 KOHM", ohms, 4700},
      {"4.7kOhm", ohms, 4700},
      {"2 MOHM", ohms, 2e6},  // and mega before OHM
      {"0.3 \xCE\xA9", ohms, 0.3},
      {"1.2 A", amperes, 1.2},
      {"3.0000E-3,1.2500E+1", ohms, 0.003},  // a meter of resistance and voltage
      {"3.0000E-3 OHM,1.2500E+1 V", volts, 12.5},
      {"3.0000E-3 OHM,1.2500E+1 V", ohms, 0.003},
  };
  for (const auto& [line, function, amount] : cases) {
    const Reply reply = read_value(line, function);
    EXPECT_EQ(reply.kind, ReplyKind::number) << line << ": " << reply.why;
    EXPECT_DOUBLE_EQ(reply.amount, amount) << line;
  }
}

TEST(Reply, AnOverloadIsNoNumber) {
  for (const char* line : {"+9.9E37", "9.9E37", "-9.9E37", "+9.90000000E+37", "9.9E+37", "1E99", "1E999",
                           "OL", "O.L", "ovld", "+OVLD", "OVERFLOW", "INF", "9.9E37 OHM"})
    EXPECT_EQ(read_value(line, ohms).kind, ReplyKind::over_range) << line;
  for (const char* line : {"9.91E37", "+9.91000000E+37", "NAN"})
    EXPECT_EQ(read_value(line, ohms).kind, ReplyKind::no_number) << line;
}

TEST(Reply, WhatIsNotSurelyANumberIsNone) {
  for (const char* line :
       {"", "READ?", "+0,\"No error\"", "-113,\"Undefined header\"", "1.2.3", "E+00", "+", "1.2E", "1,2,3",
        "1.2 volts?", "0x10", "1;2", "--1", "1 2", "12,6 V", "5 mOhm", "ERR", "nan(1)", "\xff\xfe"})
    EXPECT_EQ(read_value(line, ohms).kind, ReplyKind::not_understood) << line;
}

TEST(Reply, AnotherUnitIsRefused) {
  EXPECT_EQ(read_value("12.6 V", ohms).kind, ReplyKind::not_understood);
  EXPECT_EQ(read_value("12.6 OHM", volts).kind, ReplyKind::not_understood);
  // Two numbers without units: the first could be the ohms of a meter that shows both.
  EXPECT_EQ(read_value("0.003,12.5", volts).kind, ReplyKind::not_understood);
}

TEST(Reply, Identity) {
  EXPECT_EQ(read_identity("EXAMPLE,BENCH 6,0042,1.0-2.0-3").value_or(""), "EXAMPLE,BENCH 6,0042,1.0-2.0-3");
  for (const char* line : {"", "+1.2E0", "-113,\"Undefined header\"", "1,2,3,4", "\"VOLT +1E1,+3E-6\"", "a,b",
                           "EXAMPLE,\x01,2,3", "OL,OL,OL"})
    EXPECT_FALSE(read_identity(line)) << line;
}

TEST(Reply, ErrorQueue) {
  EXPECT_EQ(read_queue_entry("+0,\"No error\"")->number, 0);
  EXPECT_EQ(read_queue_entry("0,\"No error\"")->number, 0);
  const auto entry = read_queue_entry("-113,\"Undefined header\"");
  EXPECT_EQ(entry->number, -113);
  EXPECT_EQ(entry->text, "Undefined header");
  for (const char* line : {"", "0", "1.5E0", "0,No error", "\"VOLT\"", "x,\"y\""})
    EXPECT_FALSE(read_queue_entry(line)) << line;
}

TEST(Reply, Function) {
  EXPECT_EQ(read_function("\"VOLT\"")->function, volts);
  EXPECT_EQ(read_function("\"VOLT:DC\"")->function, volts);
  EXPECT_EQ(read_function("'RES'")->function, ohms);
  EXPECT_EQ(read_function("CURR:DC")->function, amperes);
  EXPECT_FALSE(read_function("\"VOLT:AC\"")->function);
  EXPECT_FALSE(read_function("\"FRES\"")->function);
  for (const char* line : {"", "\"", "+1.0E0", "VOLT:AC", "0,\"No error\""})
    EXPECT_FALSE(read_function(line)) << line;
}

RC_GTEST_PROP(Reply, AnyBytesAreReadWithoutHarm, (const std::string& line)) {
  for (const MeterFunction function : {ohms, volts, amperes}) {
    const Reply reply = read_value(line, function);
    RC_ASSERT(reply.kind != ReplyKind::number || (reply.amount < 1e42 && reply.amount > -1e42));
  }
  read_identity(line);
  read_queue_entry(line);
  read_function(line);
}

}  // namespace
}  // namespace loomgraft::instrument_reply_test
