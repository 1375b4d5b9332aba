// Spreadsheets and PDF files on the Gather stage: chosen, dropped, refused; each pin says where it stands.
import { readFileSync } from "node:fs";
import { at_both_sizes, equal, open_page, test } from "./runner.mjs";
import { button, document_of, graft_of, names, start_graft, until_document } from "./steps.mjs";

const bytes_of = (name) => readFileSync(new URL(`../data/${name}`, import.meta.url));

function choose(page, name) {
  return page.locator('input[type="file"]').setInputFiles({ name, mimeType: "", buffer: bytes_of(name) });
}

async function drop(page, name, bytes) {
  await page.locator(".drop-zone").evaluate(
    (box, { name, list }) => {
      const data = new DataTransfer();
      data.items.add(new File([new Uint8Array(list)], name));
      box.dispatchEvent(new DragEvent("drop", { dataTransfer: data, bubbles: true, cancelable: true }));
    },
    { name, list: [...bytes] },
  );
}

at_both_sizes("a spreadsheet is chosen and becomes a module with places", async (world) => {
  const page = await open_page(world, { size: world.size });
  await start_graft(page, "Spreadsheet");
  await choose(page, "two_plugs_libreoffice.xlsx");
  await page.getByRole("cell", { name: "sheet Connector X1, A2" }).waitFor();
  await button(page, names.add_this_table).click();
  await until_document(page, graft_of(page), "sheet Connector X1, A2");
  const doc = await document_of(page, graft_of(page));
  const pins = doc.modules[0].pins;
  equal(pins.length, 65, "pins");
  equal(pins[0].claims[0].place, "sheet Connector X1, A2", "place");
});

test("a PDF is dropped; what is no table is refused with what to do", async (world) => {
  const page = await open_page(world);
  await start_graft(page, "Pages");
  await drop(page, "manual.pdf", bytes_of("two_plugs_groff.pdf"));
  await page.getByRole("cell", { name: "page 1, line 5", exact: true }).waitFor();
  await button(page, names.use_another_table).click();
  await drop(page, "old.xls", [0xd0, 0xcf, 0x11, 0xe0, 0xa1, 0xb1, 0x1a, 0xe1, 0, 0]);
  await page.getByText("save it as .xlsx", { exact: false }).waitFor();
  await button(page, names.use_another_table).click();
  await drop(page, "locked.pdf", bytes_of("locked.pdf"));
  await page.getByText("locked with a password", { exact: false }).waitFor();
});
