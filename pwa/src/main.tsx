import { render } from 'preact';
import '@fontsource-variable/atkinson-hyperlegible-next/index.css';
import '@fontsource-variable/atkinson-hyperlegible-mono/index.css';
import './styles.css';
import './media.css';
import { start } from './app/core';
import { sayWhatIsMissing } from './app/missing';
import { rememberPlaces } from './app/recent';
import { restore, sitAnewWithEachJob } from './app/state';
import { Shell } from './screens/shell';

start();
void restore();
sitAnewWithEachJob();
rememberPlaces();
sayWhatIsMissing();
const host = document.getElementById('app');
if (host !== null) render(<Shell />, host);
