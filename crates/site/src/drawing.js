// The drawing in place: a throw asks for what it changes and applies that to what stands there; an overview of what is larger than its
// box; keys. Everything works without it.
(function () {
  'use strict';
  var base = document.body.getAttribute('data-base') || '';
  // Words of an address that are no turnouts.
  var OWN = ['layer', 'view', 'at', 'way', 'done', 'marks', 'zoom', 'was'];
  var svg = null, rails = null;

  /** The pieces of rail by their number; looked up once for each drawing. */
  function pieces() {
    var now = document.querySelector('.drawing svg.layout');
    if (now !== svg) {
      svg = now;
      rails = new Map();
      svg.querySelectorAll('path[data-edge]').forEach(function (path) {
        var edge = path.getAttribute('data-edge');
        if (!rails.has(edge)) { rails.set(edge, []); }
        rails.get(edge).push(path);
      });
    }
    return rails;
  }
  function byKey(key) { return document.querySelector('[data-key="' + CSS.escape(key) + '"]'); }

  /** Changes of a throw, as the server sends them, put on what stands there. */
  function apply(text) {
    var to = null, all = pieces();
    text.split('\n').forEach(function (line) {
      var cells = line.split('\t');
      if (cells[0] === 'A') { to = base + cells[1]; }
      if (cells[0] === 'N') { document.getElementById('never').hidden = cells[1] === 'holds'; }
      if (cells[0] === 'R') {
        (all.get(cells[1]) || []).forEach(function (path) {
          path.setAttribute('class', cells[2]);
          var words = path.querySelector('title');
          if (words) { words.textContent = cells[3]; }
        });
      }
      if (cells[0] === 'T') {
        svg.querySelectorAll('text').forEach(function (words) { if (words.textContent === cells[1]) { words.textContent = cells[2]; } });
      }
      if (cells[0] === 'C') {
        document.querySelectorAll('[data-control]').forEach(function (link) {
          if (link.getAttribute('data-control') === cells[1]) { link.setAttribute('data-then', cells[3]); }
        });
        var listed = byKey('listed ' + cells[1]);
        if (listed) {
          listed.querySelector('em').textContent = cells[2];
          listed.querySelector('.then').textContent = cells[3];
        }
      }
      if (cells[0] === 'D') {
        var drawn = byKey('drawn ' + cells[1]);
        if (drawn) {
          drawn.setAttribute('aria-label', cells[2]);
          drawn.querySelector('title').textContent = cells[2];
        }
      }
    });
    return to;
  }

  /** The address with one turnout set. */
  function set(link) {
    var search = new URLSearchParams(location.search);
    search.set(link.getAttribute('data-control'), link.getAttribute('data-then'));
    return search;
  }
  window.gapwrightThrow = function (link) {
    var search = set(link);
    search.set('was', location.search);
    return fetch(base + '/thrown?' + search).then(function (answer) {
      if (!answer.ok || document.querySelector('.drawing.past')) { throw new Error(answer.status); }
      return answer.text();
    }).then(function (text) {
      var to = apply(text);
      if (!to) { throw new Error('no address'); }
      history.pushState(null, '', to);
      document.dispatchEvent(new Event('gapwright:thrown'));
    });
  };

  // Links that stand there were made for the setting the page came with: they are put right before they are followed or copied.
  function right(event) {
    var link = event.target.closest && event.target.closest('#main a[href]');
    if (!link || location.pathname !== base + '/') { return; }
    // Of a link within a drawing `href` is no text.
    var to = new URL(link.getAttribute('href'), location.href), path = to.pathname.slice(base.length);
    if (to.origin !== location.origin || (path !== '/' && path !== '/place')) { return; }
    var search = new URLSearchParams(), now = new URLSearchParams(location.search);
    to.searchParams.forEach(function (value, name) { if (OWN.indexOf(name) >= 0) { search.append(name, value); } });
    now.forEach(function (value, name) { if (OWN.indexOf(name) < 0) { search.append(name, value); } });
    var control = link.getAttribute('data-control');
    if (control) { search.set(control, link.getAttribute('data-then')); }
    var words = search.toString();
    link.setAttribute('href', to.pathname + (words ? '?' + words : '') + to.hash);
  }
  ['pointerdown', 'focusin', 'pointerover', 'contextmenu'].forEach(function (name) { document.addEventListener(name, right, true); });

  // What is larger than its box has an overview, in which one can go anywhere by touch; by keys the box scrolls by itself.
  function overview() {
    var box = document.querySelector('.drawing:not(.past)'), old = document.querySelector('.overview');
    if (old) { old.remove(); }
    var drawn = box && box.querySelector('svg.layout');
    if (!drawn || (box.scrollWidth < box.clientWidth * 1.4 && box.scrollHeight < box.clientHeight * 1.4)) { return; }
    var view = drawn.viewBox.baseVal, name = 'http://www.w3.org/2000/svg';
    var small = document.createElementNS(name, 'svg'), path = document.createElementNS(name, 'path'), seen = document.createElementNS(name, 'rect');
    var group = drawn.querySelector('g[transform]');
    small.setAttribute('viewBox', [0, 0, view.width, view.height].join(' '));
    path.setAttribute('d', Array.from(drawn.querySelectorAll('path.bed'), function (bed) { return bed.getAttribute('d'); }).join(''));
    if (group) { path.setAttribute('transform', group.getAttribute('transform')); }
    path.setAttribute('stroke-width', view.width / 90);
    small.setAttribute('aria-hidden', 'true');
    small.append(path, seen);
    var holder = document.createElement('div');
    holder.className = 'overview';
    holder.append(small);
    box.append(holder);
    function follow() {
      var by = view.width / drawn.clientWidth;
      [['x', box.scrollLeft], ['y', box.scrollTop], ['width', box.clientWidth], ['height', box.clientHeight]].forEach(function (side) {
        seen.setAttribute(side[0], side[1] * by);
      });
      seen.setAttribute('stroke-width', view.width / 90);
    }
    function go(event) {
      var at = new DOMPoint(event.clientX, event.clientY).matrixTransform(small.getScreenCTM().inverse());
      var by = drawn.clientWidth / view.width;
      box.scrollLeft = at.x * by - box.clientWidth / 2;
      box.scrollTop = at.y * by - box.clientHeight / 2;
    }
    small.addEventListener('pointerdown', function (event) { small.setPointerCapture(event.pointerId); go(event); });
    small.addEventListener('pointermove', function (event) { if (small.hasPointerCapture(event.pointerId)) { go(event); } });
    box.addEventListener('scroll', follow, { passive: true });
    begin(box, drawn);
    follow();
  }
  // Where nobody has moved it yet it begins where the track does, and not in the margin.
  function begin(box, drawn) {
    if (box.scrollLeft || box.scrollTop || box.hasAttribute('data-begun')) { return; }
    box.setAttribute('data-begun', '');
    var left = Infinity, top = Infinity, corner = box.getBoundingClientRect();
    drawn.querySelectorAll('path.bed').forEach(function (bed) {
      var at = bed.getBoundingClientRect();
      if (at.left < left) { left = at.left; top = at.top; }
    });
    if (left === Infinity) { return; }
    box.scrollLeft = left - corner.left - 24;
    box.scrollTop = top - corner.top - box.clientHeight / 2;
  }
  // Nearer and farther by the keys that zoom, and by the wheel with Ctrl (as pinching a touchpad is told), while the drawing is in use.
  function zoom(by) {
    var links = Array.from(document.querySelectorAll('.zooms a'));
    var now = links.findIndex(function (link) { return link.hasAttribute('aria-current'); });
    var to = links[now + by];
    if (to) { right({ target: to }); to.click(); }
  }
  document.addEventListener('keydown', function (event) {
    if (!event.target.closest || !event.target.closest('.drawing') || event.ctrlKey || event.altKey || event.metaKey) { return; }
    if (event.key === '+' || event.key === '=') { zoom(1); event.preventDefault(); }
    if (event.key === '-') { zoom(-1); event.preventDefault(); }
  });
  var turned = 0;
  document.addEventListener('wheel', function (event) {
    if (!event.ctrlKey || !event.target.closest || !event.target.closest('.drawing')) { return; }
    event.preventDefault();
    if (Date.now() - turned > 600) { turned = Date.now(); zoom(event.deltaY < 0 ? 1 : -1); }
  }, { passive: false });
  document.addEventListener('gapwright:renewed', overview);
  window.addEventListener('resize', overview);
  window.addEventListener('load', overview);
})();
