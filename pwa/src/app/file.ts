// Hands the phone a file to keep or to send on.
export function saveFile(name: string, text: string, type = 'application/x-ndjson'): void {
  const url = URL.createObjectURL(new Blob([text], { type }));
  const a = document.createElement('a');
  a.href = url;
  a.download = name;
  a.click();
  // The download has taken the bytes by the time the next task runs; the page that comes after needs none of it.
  addEventListener('pagehide', () => URL.revokeObjectURL(url), { once: true });
}
