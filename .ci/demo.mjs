// Starts the built program with a fresh demo unit on a free port, for the browser tests.

import { spawn } from 'node:child_process';
import { createWriteStream, rmSync } from 'node:fs';
import { join } from 'node:path';

const patience = 120_000; // ms

// startDemo resolves to { address, stop } once the program has printed its address.
export function startDemo(root, output, env) {
  const dir = join(output, 'demo');
  rmSync(dir, { recursive: true, force: true });
  const log = createWriteStream(join(output, 'demo.log'));
  const child = spawn(join(root, '.cache', 'bin', 'zonule'), ['demo', '--dir', dir, '--listen', '127.0.0.1:0'], { env, stdio: ['ignore', 'pipe', 'pipe'] });
  child.stderr.pipe(log);
  const ended = new Promise((done) => child.on('exit', done));
  const stop = async () => {
    child.kill('SIGTERM');
    await ended;
  };
  return new Promise((done, refuse) => {
    let text = '';
    const timer = setTimeout(() => {
      child.kill('SIGKILL');
      refuse(new Error('the demo printed no address in time'));
    }, patience);
    child.on('error', (error) => {
      clearTimeout(timer);
      refuse(new Error(`the demo did not start: ${error.message}`));
    });
    child.on('exit', (code) => {
      clearTimeout(timer);
      refuse(new Error(`the demo ended with code ${code}; see demo.log`));
    });
    child.stdout.on('data', (data) => {
      text += data;
      log.write(data);
      const match = /(http:\/\/[\d.]+:\d+)/.exec(text);
      if (!match) return;
      clearTimeout(timer);
      done({ address: match[1], stop });
    });
  });
}
