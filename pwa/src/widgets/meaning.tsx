// What a word of the trade means, said where it stands: the one place for these
// explanations. Each is short, and shut until somebody asks.
const meanings = {
  called: {
    ask: "What 'Called' is for",
    says: 'A short name for this agreement, so that a sheet, a tag or a question can say by which one something was numbered. NC-1 does for the first; one that takes its place gets the next number.',
  },
  k: {
    ask: "What ± and 'k = 2' mean",
    says: 'A certificate gives its ± with a factor k. With k = 2 the true size lies within that ± about 95 times in 100. If yours gives another k, divide its ± by that k and write down twice what comes out.',
  },
  judged: {
    ask: "What 'as read' and 'with margin' mean",
    says: 'As read: the reading is held against the limit as it stands, as a maker means a limit for workshop tools. With margin: it counts as within only if it is inside by more than the tools may err, and as outside likewise; between the two it is too close to call. Take that for safety, and where two things must match.',
  },
} as const;

export type Word = keyof typeof meanings;

export function Meaning({ of }: { of: Word }) {
  const { ask, says } = meanings[of];
  return (
    <details class="meaning">
      <summary>{ask}</summary>
      <p>{says}</p>
    </details>
  );
}
