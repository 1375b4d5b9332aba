// What kind of picture a file is, by its first bytes: its name and the type that a phone gives it can be wrong.

export type PictureKind = "image/jpeg" | "image/png" | "image/webp" | "heif" | "avif" | "other";

const latin1 = (bytes: Uint8Array, from: number, to: number): string => String.fromCharCode(...bytes.subarray(from, to));

// Brands of ISO/IEC 23008-12 (HEIF) in the first box of the file, which is "ftyp": HEVC pictures, bursts, and the general ones.
const heif_brands = new Set(["heic", "heix", "heim", "heis", "hevc", "hevx", "hevm", "hevs", "mif1", "mif2", "msf1"]);
const avif_brands = new Set(["avif", "avis"]);

function kind_of_boxes(bytes: Uint8Array): PictureKind {
  // The size of the box, "ftyp", the main brand, its version, then those that fit as well.
  const size = Math.min(bytes[3] === undefined ? 0 : (bytes[2] ?? 0) * 256 + bytes[3], bytes.length);
  const brands = [latin1(bytes, 8, 12)];
  for (let at = 16; at + 4 <= size; at += 4) brands.push(latin1(bytes, at, at + 4));
  if (brands.some((brand) => avif_brands.has(brand))) return "avif";
  return brands.some((brand) => heif_brands.has(brand)) ? "heif" : "other";
}

export function picture_kind(bytes: Uint8Array): PictureKind {
  const start = latin1(bytes, 0, 12);
  if (start.startsWith("\xff\xd8\xff")) return "image/jpeg";
  if (start.startsWith("\x89PNG\r\n\x1a\n")) return "image/png";
  if (start.startsWith("RIFF") && start.endsWith("WEBP")) return "image/webp";
  return start.slice(4, 8) === "ftyp" ? kind_of_boxes(bytes) : "other";
}

const most_bytes = 16 * 1024 * 1024; // as the program takes them

// Why the program would refuse the picture, and what to do; null if it takes it.
export function picture_problem(name: string, bytes: Uint8Array): string | null {
  const kind = picture_kind(bytes);
  if (kind === "heif") {
    return (
      `${name} is a HEIC photo, which is not taken. Set the phone's camera to JPEG and take it again: on an iPhone Settings, Camera, ` +
      "Formats, “Most Compatible”; on Android the camera's settings, without “high efficiency pictures”. Or choose a JPEG."
    );
  }
  if (kind === "avif" || kind === "other") return `${name} is not a JPEG, PNG or WebP picture. Choose one of these.`;
  if (bytes.length > most_bytes) {
    return `${name} has ${Math.ceil(bytes.length / 1024 / 1024)} MiB; at most 16 are taken. Set the camera to a smaller size, or crop it.`;
  }
  return null;
}
