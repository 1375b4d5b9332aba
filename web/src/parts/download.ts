// A file that is made in the page and saved by the browser.

export function download(name: string, type: string, text: string): void {
  const address = URL.createObjectURL(new Blob([text], { type }));
  const link = document.createElement("a");
  link.href = address;
  link.download = name;
  link.click();
  // The browser reads it after the click.
  window.setTimeout(() => URL.revokeObjectURL(address), 10_000);
}
