import { svelte } from '@sveltejs/vite-plugin-svelte';
import { svelteTesting } from '@testing-library/svelte/vite';
import { defineConfig } from 'vitest/config';

const server = process.env.ZONULE_SERVER ?? 'http://127.0.0.1:8080';

export default defineConfig({
  plugins: [svelte(), svelteTesting()],
  // public/.gitkeep comes back as dist/.gitkeep, which the Go build needs when there is no page yet.
  build: { outDir: 'dist', emptyOutDir: true, assetsDir: 'assets', target: 'es2022' },
  server: { proxy: { '/api': server } },
  preview: { proxy: { '/api': server } },
  test: {
    environment: 'happy-dom',
    include: ['src/**/*.test.ts'],
    restoreMocks: true,
  },
});
