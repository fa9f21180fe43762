// What the page says where a field was left empty: our words, not the browser's.

type Field = HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement;

const isField = (e: unknown): e is Field => e instanceof HTMLInputElement || e instanceof HTMLSelectElement || e instanceof HTMLTextAreaElement;

/** The words beside a field, without what stands in it. */
function called(field: Field): string {
  const label = field.labels?.[0];
  const words = [...(label?.childNodes ?? [])].filter((n) => n.nodeType === Node.TEXT_NODE).map((n) => n.textContent ?? '').join('').trim();
  return words === '' ? (field.getAttribute('aria-label') ?? '') : words;
}

function said(field: Field): string {
  if (field instanceof HTMLInputElement && field.type === 'radio') return 'Choose one of these first.';
  const words = called(field);
  const what = field instanceof HTMLSelectElement ? 'choose one first.' : 'fill this in first.';
  return words === '' ? `${what.slice(0, 1).toUpperCase()}${what.slice(1)}` : `${words}: ${what}`;
}

/** From here on every form of the page speaks so. */
export function sayWhatIsMissing(): void {
  document.addEventListener('invalid', (e) => {
    if (isField(e.target) && e.target.validity.valueMissing) e.target.setCustomValidity(said(e.target));
  }, true);
  // A field with words of our own counts as wrong until they are taken back: before each try, for what was filled in since.
  document.addEventListener('click', (e) => {
    const button = e.target instanceof Element ? e.target.closest('button') : null;
    for (const field of button?.form?.elements ?? []) if (isField(field)) field.setCustomValidity('');
  }, true);
}
