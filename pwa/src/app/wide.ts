import { signal } from '@preact/signals';

/** As in the style sheet: from here on both engines stand side by side. */
const query = matchMedia('(min-width: 1000px)');

/** Whether the window is a desk's: what a phone does not show it need not draw. */
export const wide = signal(query.matches);
query.addEventListener('change', () => (wide.value = query.matches));
