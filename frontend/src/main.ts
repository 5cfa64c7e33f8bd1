import { mount } from 'svelte';
import App from './App.svelte';
import './lib/theme.css';
import { theme } from './lib/theme.svelte';

theme.start();

const target = document.getElementById('page');
if (!target) throw new Error('index.html has no element with the id "page".');
mount(App, { target });
