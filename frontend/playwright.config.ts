import { defineConfig } from '@playwright/test';

const exact = /(surgeon|tagging)\.spec\.ts$/;
const reading = / (record is accessible|are readable|pages of) /;

// The tests drive a server that is already running; its address comes from ZONULE_E2E_URL.
export default defineConfig({
  testDir: './e2e',
  outputDir: './e2e/output',
  fullyParallel: false,
  workers: 2,
  // What is timed to the frame has the machine to itself. Then what changes the unit, one after another, runs beside what
  // only reads it.
  projects: [
    { name: 'exact', testMatch: exact, workers: 1 },
    { name: 'journeys', testIgnore: exact, grepInvert: reading, workers: 1, dependencies: ['exact'] },
    { name: 'reading', testIgnore: exact, grep: reading, workers: 1, dependencies: ['exact'] },
  ],
  forbidOnly: Boolean(process.env.CI),
  retries: 0,
  timeout: 120_000,
  reporter: [['list']],
  use: {
    baseURL: process.env.ZONULE_E2E_URL ?? 'http://127.0.0.1:8080',
    locale: 'en-GB',
    actionTimeout: 15_000,
    viewport: { width: 1280, height: 720 },
    screenshot: 'only-on-failure',
    trace: 'retain-on-failure',
    launchOptions: {
      executablePath: process.env.ZONULE_E2E_BROWSER ?? '/usr/bin/chromium',
      args: [
        '--no-sandbox',
        '--disable-quic',
        '--no-first-run',
        '--disable-background-networking',
        '--disable-component-update',
        '--disable-sync',
        '--autoplay-policy=no-user-gesture-required',
      ],
    },
  },
});
