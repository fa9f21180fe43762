// The volunteers' page: trades the link's secret for a cookie of this path, shows the job, and fetches it again whenever the
// office says that there is more. It never sends anything else.
import { show, empty } from './show.js';
import { wall } from './wall.js';

const base = location.pathname.replace(/\/+$/, '');
const state = document.getElementById('state');
const main = document.getElementById('main');

/** On a wall: what it is told whenever the page was drawn anew. */
const turn = new URLSearchParams(location.search).has('wall') ? wall(main) : undefined;

/** How long to wait before the next try, in milliseconds: doubled up to the last. */
const firstWait = 1000;
const lastWait = 60000;

const dead = 'This link does not work, or no longer. Ask whoever sent it for a new one.';

/** Fetches, and returns the reply, or undefined when the office cannot be reached. */
async function ask(path, init) {
  try {
    return await fetch(base + path, { cache: 'no-store', credentials: 'same-origin', ...init });
  } catch {
    return undefined;
  }
}

/** Opens the link with the secret behind the hash. */
async function open() {
  const secret = location.hash.slice(1);
  if (secret === '') return false;
  const reply = await ask('/open', {
    method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ secret }),
  });
  return reply !== undefined && reply.ok;
}

/** What is known of the last fetch: 'shown', 'dead', or 'away' when the office could not be reached. */
async function load() {
  let reply = await ask('/data');
  if (reply !== undefined && reply.status === 401 && (await open())) reply = await ask('/data');
  if (reply === undefined || reply.status >= 500 || reply.status === 429) return 'away';
  if (!reply.ok) return 'dead';
  const data = await reply.json();
  show(main, data, base);
  if (turn) turn();
  return 'shown';
}

function say(words) {
  if (state.textContent !== words) state.textContent = words;
}

function clock() {
  return new Date().toLocaleTimeString('sv', { hour: '2-digit', minute: '2-digit' });
}

let busy = false;
let again = false;
let ended = false;

/** One fetch at a time; news that arrives meanwhile is fetched after it. */
async function refresh() {
  if (busy) {
    again = true;
    return;
  }
  busy = true;
  do {
    again = false;
    took(await load());
  } while (again && !ended);
  busy = false;
}

function took(outcome) {
  if (outcome === 'dead') {
    ended = true;
    document.title = 'Witnessmark';
    document.getElementById('title').textContent = 'This link no longer works';
    empty(main);
    say(dead);
    if (socket) socket.close();
  } else if (outcome === 'away') {
    say('The office cannot be reached just now. What stands here is what was last fetched; it goes on by itself.');
  } else {
    say(`As it stands at ${clock()}; it changes here by itself.`);
  }
}

let socket;
let wait = firstWait;

/** Listens for 'there is more'. The socket carries no data, and ends when the link does. */
function listen() {
  if (ended) return;
  socket = new WebSocket(`${location.protocol === 'https:' ? 'wss' : 'ws'}://${location.host}${base}/live`);
  socket.addEventListener('message', () => {
    wait = firstWait;
    void refresh();
  });
  socket.addEventListener('close', () => {
    if (ended) return;
    void refresh();
    setTimeout(listen, wait);
    wait = Math.min(2 * wait, lastWait);
  });
}

void refresh().then(listen);
