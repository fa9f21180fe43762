import { render } from 'preact';
import '@fontsource-variable/atkinson-hyperlegible-next/index.css';
import '@fontsource-variable/atkinson-hyperlegible-mono/index.css';
import './styles.css';
import './media.css';
import { start } from './app/core';
import { restore } from './app/state';
import { Shell } from './screens/shell';

start();
void restore();
const host = document.getElementById('app');
if (host !== null) render(<Shell />, host);
