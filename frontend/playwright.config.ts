import { defineConfig } from '@playwright/test';

// The tests drive a server that is already running; its address comes from ZONULE_E2E_URL.
export default defineConfig({
  testDir: './e2e',
  outputDir: './e2e/output',
  fullyParallel: false,
  workers: 1,
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
