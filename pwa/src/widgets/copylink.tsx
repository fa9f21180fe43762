// A link to pass on: it stands there whole, and one tap copies it. Nobody is
// asked for leave; where a browser copies nothing by itself, the text is
// selected and the words say what to do with it.
import { useRef, useState } from 'preact/hooks';

const copied = 'Copied.';
const selected = 'This browser does not copy by itself. The link is selected: copy it as you copy any text.';

export function CopyLink({ link, testid }: { link: string; testid: string }) {
  const text = useRef<HTMLElement>(null);
  const [says, setSays] = useState<{ of: string; words: string }>({ of: '', words: '' });
  const copy = async () => {
    const words = (await written(link)) ? copied : selected;
    if (words === selected && text.current !== null) getSelection()?.selectAllChildren(text.current);
    setSays({ of: link, words });
  };
  return (
    <div class="copy-link">
      <code ref={text} data-testid={testid}>{link}</code>
      <p class="actions"><button type="button" onClick={() => void copy()}>Copy the link</button> <span role="status">{says.of === link ? says.words : ''}</span></p>
    </div>
  );
}

/** Whether the browser took the text; one without a clipboard, or that refuses, did not. */
async function written(text: string): Promise<boolean> {
  try {
    if (navigator.clipboard === undefined) return false;
    await navigator.clipboard.writeText(text);
    return true;
  } catch {
    return false;
  }
}
