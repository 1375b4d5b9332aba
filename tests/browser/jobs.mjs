// Two invented jobs as people paste them: the vehicle's table and the donor's.

const rows = (heads, lines) => [heads, ...lines].join("\n");

const shared = [
  "X1;1;battery feed;supply 30;RD",
  "X1;2;ignition feed;supply 15;VT",
  "X1;3;earth;power earth;BN",
  "X1;4;earth;power earth;BN",
  "X1;5;interior lamp;high side output;GY/RD",
  "X1;6;side lamps left;high side output;GY/BK",
  "X1;7;side lamps right;high side output;GY/GN",
  "X1;8;wiper relay;low side output;GN/YE",
  "X1;9;horn relay;low side output;BK/RD",
  "X1;10;rear heater relay;low side output;BU/RD",
  "X1;11;door switch left;switch to earth;BN/GY",
  "X1;12;door switch right;switch to earth;BN/WH",
  "X1;13;bonnet switch;switch to earth;BN/BU",
  "X1;14;handbrake switch;switch to earth;BN/GN",
  "X1;15;brake switch;switch to supply;BK/YE",
  "X1;16;reversing lamp switch;switch to supply;BU/YE",
  "X2;1;CAN high;CAN high;OG/BK",
  "X2;2;CAN low;CAN low;OG/BN",
  "X2;3;5 V reference;5 V;GY/YE",
  "X2;4;sensor earth;sensor earth;BN/OG",
  "X2;5;outside temperature;thermistor;BU/WH",
  "X2;6;fuel level;analogue input;WH",
  "X2;7;warning lamp;low side output;BU",
  "X2;8;wiper request switch;switch to earth;GN/WH",
  "X2;9;washer request switch;switch to earth;GN/RD",
];

const added = [
  "X2;10;fog lamp relay;low side output;",
  "X2;11;fog lamp switch;switch to earth;",
  "X2;12;beacon relay;low side output;",
  "X2;13;load area lamp;high side output;",
  "X2;14;load area temperature;thermistor;",
  "X2;15;tail lift request switch;switch to earth;",
];

const empty = (count, from) => Array.from({ length: count }, (_, k) => `X2;${from + k};;;`);

const heads = "plug;pin;signal;type;colour";

export const body_controller = {
  title: "Fog lamps and tail lift, Oakfield 20 pickup",
  supply: "12 V",
  shape: "pickup",
  circuits: 31,
  added: 6,
  found: rows(heads, [...shared, ...empty(6, 10)]),
  donor: rows(heads, [...shared, ...added]),
};

const pipes = (lines) =>
  ["| pin | signal | type | colour |", "|---|---|---|---|", ...lines.map((line) => `| ${line.join(" | ")} |`)].join("\n");

const lorry_pins = [
  ["1", "battery feed", "supply 30", "RD"],
  ["2", "ignition feed", "supply 15", "VT"],
  ["3", "earth", "power earth", "BN"],
  ["4", "CAN high", "CAN high", "OG/BK"],
  ["5", "CAN low", "CAN low", "OG/BN"],
  ["6", "gearbox neutral switch", "switch to earth", "GN/BN"],
  ["7", "PTO lamp", "low side output", "BU/WH"],
];

export const lorry = {
  title: "Power take-off, Brack 18 t lorry",
  supply: "24 V",
  shape: "lorry",
  circuits: 9,
  added: 2,
  found: pipes([...lorry_pins, ["8", "", "", ""], ["9", "", "", ""]]),
  donor: pipes([...lorry_pins, ["8", "PTO valve relay", "low side output", ""], ["9", "PTO request switch", "switch to supply", ""]]),
};

const pickup_pins = [
  "C1;1;battery feed;supply 30;RD",
  "C1;2;ignition feed;supply 15;VT",
  "C1;3;earth;power earth;BN",
  "C1;4;horn relay;low side output;BK/RD",
  "C1;5;brake switch;switch to supply;BK/YE",
  "C3;1;driver airbag squib;high side output;YE",
  "C3;2;driver airbag squib return;power earth;YE/BK",
  "C3;3;seat heater relay;low side output;WH/RD",
];

// One with a restraint circuit in a plug that holds other circuits too.
export const airbag_pickup = {
  title: "Work lamps, Oakfield 20 pickup",
  supply: "12 V",
  shape: "pickup",
  found: rows(heads, [...pickup_pins, "C1;6;;;", "C1;7;;;"]),
  donor: rows(heads, [...pickup_pins, "C1;6;work lamp relay;low side output;", "C1;7;work lamp switch;switch to earth;"]),
};
