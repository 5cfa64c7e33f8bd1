import { svelte } from '@sveltejs/vite-plugin-svelte';
import { svelteTesting } from '@testing-library/svelte/vite';
import { defineConfig } from 'vitest/config';

// The host stays that of the page, or the server takes every change for one from a foreign origin.
const toServer = { '/api': { target: process.env.ZONULE_SERVER ?? 'http://127.0.0.1:8080', changeOrigin: false } };

export default defineConfig({
  plugins: [svelte(), svelteTesting()],
  // public/.gitkeep comes back as dist/.gitkeep, which the Go build needs when there is no page yet.
  build: { outDir: 'dist', emptyOutDir: true, assetsDir: 'assets', target: 'es2022' },
  server: { proxy: toServer },
  preview: { proxy: toServer },
  test: {
    environment: 'happy-dom',
    include: ['src/**/*.test.ts'],
    restoreMocks: true,
  },
});
