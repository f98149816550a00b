/** Hands bytes to the browser as a file. */
export function download(bytes: BlobPart, fileName: string, contentType: string): void {
  const address = URL.createObjectURL(new Blob([bytes], { type: contentType }));
  const link = document.createElement('a');
  link.href = address;
  link.download = fileName;
  document.body.append(link);
  link.click();
  link.remove();
  // The browser takes the file over within moments; the address must live until then.
  setTimeout(() => {
    URL.revokeObjectURL(address);
  }, 60_000);
}
