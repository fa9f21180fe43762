// The one owner of the phone's store and of the core. The page asks; nothing
// here ever waits for the network before it answers about what is on the phone.
import { Keeper } from './keeper';
import { noStatus, type Answer, type Call, type News } from './protocol';

const post = (m: Answer | News) => self.postMessage(m);
const keeper = new Keeper(post);

self.onmessage = (e: MessageEvent<Call>) => {
  const { id, name, args } = e.data;
  void answer(id, name, args);
};

async function answer(id: number, name: Call['name'], args: unknown[]): Promise<void> {
  try {
    const run = keeper[name] as (...a: unknown[]) => unknown;
    post({ id, ok: await run.apply(keeper, args) });
  } catch (e) {
    post({ id, error: e instanceof Error ? e.message : String(e) });
  }
}

keeper.start().catch((e: unknown) => {
  const why = e instanceof Error ? e.message : String(e);
  post({ status: { ...noStatus, says: `This phone cannot start the app: ${why}. Nothing on it was touched; close it and open it again.` } });
});
