// Drawing symbols of devices after IEC 60617, as paths in a box of 48 by 24 with leads at the left and the right end.

import { kind_of } from "./device_kinds";

const box = "M0 12H8M40 12H48M8 5H40V19H8Z";
const circle = "M0 12H14M34 12H48M24 2A10 10 0 1 1 23.9 2Z";
const contact = "M0 12H14M34 12H48M14 12L33 4";

// By the symbol column of data/device_kinds.csv.
const paths: Record<string, string> = {
  battery: "M0 12H20M28 12H48M20 2V22M28 7V17",
  generator: `${circle}M20 15V11A4 4 0 0 1 28 11V15`,
  key_switch: `${contact}M20 20H28M24 20V10`,
  earth: "M0 12H24V16M15 16H33M18 19H30M21 22H27",
  splice: "M0 12H48M24 9A3 3 0 1 1 23.9 9Z",
  fuse: `${box}M8 12H40`,
  relay: "M0 12H8M40 12H48M8 5H40V19H8ZM16 19L32 5",
  contact_open: contact,
  contact_closed: "M0 12H14M34 12H48M14 12L36 8M34 12V5",
  lamp: `${circle}M17 5L31 19M31 5L17 19`,
  led: "M0 12H16M30 12H48M16 5L30 12L16 19ZM30 5V19M34 6L39 2M38 9L43 5",
  coil: `${box}M16 19L32 5`,
  coil_proportional: `${box}M16 19L32 5M18 22L34 2`,
  motor: `${circle}M19 17V8L24 13L29 8V17`,
  horn: "M0 12H18M30 12H48M18 3V21A9 9 0 0 0 30 21V3A9 9 0 0 0 18 3Z",
  resistor: box,
  diode: "M0 12H16M32 12H48M16 4L32 12L16 20ZM32 4V20",
  thermistor: `${box}M12 22H16L34 3`,
  sensor: `${box}M14 9H20V15H26V9H32V15`,
  coil_sensor: "M0 12H8A4 4 0 0 1 16 12A4 4 0 0 1 24 12A4 4 0 0 1 32 12A4 4 0 0 1 40 12H48",
  potentiometer: `${box}M24 24V19M21 22L24 19L27 22`,
  box: "M0 12H8M40 12H48M8 3H40V21H8Z",
  open_end: "M0 12H30M30 6V18",
  pin: "M24 12H48M6 4H24V20H6Z",
  plug: "M0 12H20M28 12H48M20 4V20M28 4A8 8 0 0 1 28 20",
  feed: "M0 12H20M20 2V22M20 4H30M20 12H30M20 20H30",
  open: "M0 12H24M31 12A7 7 0 1 1 30.900 11.500",
};

export const symbol_path = (kind: string): string => paths[kind_of(kind)?.symbol ?? kind] ?? paths.box ?? "";
