import { expect, test } from 'vitest';
import { readPaper, scoped } from './paper';

test('rules of the page become rules of the wrapper, and no others change', () => {
  expect(scoped('html,body{margin:0} tbody td, .body, #html, .x-body {color:red} :root{--a:1} body > p{}')).toBe(
    '.paper,.paper{margin:0} tbody td, .body, #html, .x-body {color:red} .paper{--a:1} .paper > p{}',
  );
});

test('takes style and body apart; nothing that could run or reach out stays', () => {
  const paper = readPaper(
    '<html><head><base href="/x"><style>body{color:red}</style><script>1</script></head>' +
      '<body><main class="sheet"><h1>Review</h1></main><a href="/cases/1/operation#t=1" target="_top">0:01</a><script>2</script></body></html>',
  );
  expect(paper.style).toBe('.paper{color:red}');
  const box = document.createElement('div');
  box.append(...paper.body);
  expect(box.innerHTML).toBe('<div class="sheet"><h1>Review</h1></div><a href="/cases/1/operation#t=1">0:01</a>');
});
