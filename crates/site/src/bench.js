// Ticks and readings are kept in this browser until the server has them. Forms work without it; then nothing is kept here.
(function () {
  'use strict';
  var plan = document.body.getAttribute('data-plan') || '';
  var base = document.body.getAttribute('data-base') || '';
  var NAME = 'log|' + plan + '|';
  // What somebody types into an entry.
  var EDITED = ['typed', 'place', 'air', 'with', 'zero', 'range', 'note'];
  var RETRY = [1000, 2000, 5000, 10000, 20000];
  var store = null, sending = false, failed = 0, timer = null, asked = 0;
  try { store = window.localStorage; store.getItem(NAME); } catch (none) { store = null; }
  if (!plan || !store || !window.crypto) { return; }

  // A UUID of version 7 (RFC 9562): made here, so that what is sent twice is kept once.
  function id() {
    var bytes = crypto.getRandomValues(new Uint8Array(16)), now = Date.now();
    for (var i = 5; i >= 0; i--) { bytes[i] = now % 256; now = Math.floor(now / 256); }
    bytes[6] = 0x70 | (bytes[6] & 0x0f);
    bytes[8] = 0x80 | (bytes[8] & 0x3f);
    var hex = Array.from(bytes, function (b) { return (b + 256).toString(16).slice(1); }).join('');
    return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join('-');
  }
  // RFC 3339, with the offset of this device.
  function now() {
    var at = new Date(), east = -at.getTimezoneOffset();
    var two = function (n) { return (n < 10 ? '0' : '') + n; };
    var local = new Date(at.getTime() + east * 60000).toISOString().slice(0, 23);
    return local + (east < 0 ? '-' : '+') + two(Math.floor(Math.abs(east) / 60)) + ':' + two(Math.abs(east) % 60);
  }
  function device() {
    var name = store.getItem('device');
    if (!name) { name = 'browser ' + id().slice(-6); store.setItem('device', name); }
    return name;
  }
  function all() {
    var found = [];
    for (var i = 0; i < store.length; i++) {
      var name = store.key(i);
      if (name && name.indexOf(NAME) === 0) {
        try { found.push(JSON.parse(store.getItem(name))); } catch (broken) { /* none of ours */ }
      }
    }
    return found.sort(function (a, b) { return a.id < b.id ? -1 : 1; });
  }
  function keep(entry) { store.setItem(NAME + entry.id, JSON.stringify(entry)); }
  function forget(entry) { store.removeItem(NAME + entry.id); }

  function button(words, does) {
    var b = document.createElement('button');
    b.type = 'button';
    b.className = 'second';
    b.textContent = words;
    b.addEventListener('click', does);
    return b;
  }
  // What is not kept yet stands on the page until it is.
  function show() {
    var entries = all(), list = document.getElementById('waiting');
    var notice = document.getElementById('notice');
    if (!list) {
      if (entries.length) { notice.textContent = entries.length + ' of your entries ' + (entries.length === 1 ? 'is' : 'are') + ' not kept yet.'; }
      return;
    }
    list.hidden = !entries.length;
    // What is being put right stays as it was typed.
    var typed = {}, at = document.activeElement;
    list.querySelectorAll('input').forEach(function (box) {
      typed[box.parentNode.getAttribute('data-waiting') + '|' + box.name] = { words: box.value, was: box.defaultValue, here: box === at, caret: box.selectionStart };
    });
    list.replaceChildren.apply(list, entries.map(function (entry) {
      var line = document.createElement('li');
      line.setAttribute('data-waiting', entry.id);
      var bold = document.createElement('b');
      bold.textContent = entry.refused ? 'Not taken: ' : 'Not kept yet: ';
      line.append(bold, (entry.called || entry.fields.kind) + ': ' + entry.fields.typed + '. ');
      if (entry.refused) {
        line.append(entry.refused + ' ');
        // Whatever was typed can be put right: the reading, or where it was, or the leads.
        var boxes = EDITED.filter(function (name) { return name === 'typed' || entry.fields[name]; }).map(function (name) {
          var box = document.createElement('input');
          box.name = name;
          box.setAttribute('value', entry.fields[name] || '');
          box.setAttribute('aria-label', 'Put it right: ' + (entry.called || entry.fields.kind) + (name === 'typed' ? '' : ', ' + name));
          line.append(box, ' ');
          return box;
        });
        line.append(button('Send it', function () {
          boxes.forEach(function (box) { entry.fields[box.name] = box.value; });
          entry.refused = null;
          keep(entry); show(); flush();
        }), ' ', button('Forget it', function () { forget(entry); show(); }));
      }
      return line;
    }));
    list.querySelectorAll('input').forEach(function (box) {
      var had = typed[box.parentNode.getAttribute('data-waiting') + '|' + box.name];
      if (!had) { return; }
      // What was sent meanwhile and refused again stands there as it was sent.
      if (had.words !== had.was) { box.value = had.words; }
      if (had.here) { box.focus({ preventScroll: true }); box.setSelectionRange(had.caret, had.caret); }
    });
  }

  // The page may have been open while the server was started anew: a fresh page has the new secret.
  function token(fresh) {
    if (!fresh) {
      var field = document.querySelector('input[name="token"]');
      if (field) { return Promise.resolve(field.value); }
    }
    return fetch(base + '/bench', { cache: 'no-store' }).then(function (answer) { return answer.text(); }).then(function (text) {
      var page = new DOMParser().parseFromString(text, 'text/html');
      var field = page.querySelector('input[name="token"]');
      if (!field || page.body.getAttribute('data-plan') !== plan) { throw new Error('another plan'); }
      document.querySelectorAll('input[name="token"]').forEach(function (old) { old.value = field.value; });
      return field.value;
    });
  }
  function send(entry, fresh) {
    return token(fresh).then(function (secret) {
      var form = new URLSearchParams(entry.fields);
      form.set('token', secret);
      form.set('plan', plan);
      form.set('id', entry.id);
      form.set('part', 'yes');
      return fetch(base + '/log', { method: 'POST', body: form });
    }).then(function (answer) {
      if (answer.status === 403 && !fresh) { return send(entry, true); }
      return answer.text().then(function (text) {
        var page = new DOMParser().parseFromString(text, 'text/html');
        if (answer.ok && page.querySelector('[data-kept]')) {
          forget(entry);
          tell(page.body.firstElementChild);
          return true;
        }
        if (answer.status === 422 || answer.status === 409) {
          var why = page.querySelector('.warning, main p');
          entry.refused = why ? why.textContent.trim() : 'The server did not take it.';
          keep(entry);
          return true;
        }
        throw new Error(answer.status);
      });
    });
  }
  function tell(verdict) {
    var told = document.getElementById('told');
    if (told) { told.replaceChildren(document.adoptNode(verdict)); }
  }
  // One after the other. What is not acknowledged is sent again, under the id it has.
  function flush() {
    clearTimeout(timer);
    if (sending) { return; }
    var next = all().filter(function (entry) { return !entry.refused; })[0];
    if (!next) { renew(); return; }
    sending = true;
    var sent = 0;
    send(next, false).then(function () { failed = 0; sent = 1; }, function () { failed++; }).then(function () {
      sending = false;
      show();
      if (sent) { flush(); } else { timer = setTimeout(flush, RETRY[Math.min(failed, RETRY.length) - 1]); }
    });
  }
  function typing() {
    return Array.from(document.querySelectorAll('form[data-bench] input:not([type="hidden"]):not([data-remembered]), #waiting input')).some(function (e) {
      return e.value !== e.defaultValue;
    });
  }
  // The next job: the page as it is now, with what was told left standing.
  function renew() {
    var main = document.getElementById('main');
    if (!main.querySelector('#waiting') || typing()) { return; }
    // An answer that comes late is of an older book: what was asked after it, or is being sent, is not undone by it.
    var mine = ++asked;
    fetch(location.href.replace(/[?&]kept=[^&]*/, ''), { cache: 'no-store' }).then(function (answer) { return answer.ok ? answer.text() : Promise.reject(); })
      .then(function (text) {
        var page = new DOMParser().parseFromString(text, 'text/html'), fresh = page.getElementById('main');
        if (mine !== asked || sending || !fresh || typing() || page.body.getAttribute('data-plan') !== plan) { return; }
        // It is still being worked out: what stands there stays until it is.
        if (!fresh.querySelector('#waiting')) { clearTimeout(timer); timer = setTimeout(flush, 2000); return; }
        var told = document.getElementById('told'), open = Array.from(document.querySelectorAll('details[open] > summary'), function (s) { return s.textContent; });
        var had = main.contains(document.activeElement);
        fresh = document.adoptNode(fresh);
        var place = fresh.querySelector('#told');
        if (told && place) { place.replaceWith(told); }
        document.getElementById('main').replaceWith(fresh);
        fresh.querySelectorAll('details > summary').forEach(function (s) { if (open.indexOf(s.textContent) >= 0) { s.parentNode.open = true; } });
        document.body.setAttribute('data-version', page.body.getAttribute('data-version') || '');
        remember();
        show();
        var first = fresh.querySelector('.next input.reading, .next button.big');
        if (had && first) { first.focus({ preventScroll: false }); }
      }).catch(function () { /* out of reach: what is there stays */ });
  }

  // Who works here, and how warm it is, is typed once.
  function remember() {
    document.querySelectorAll('[data-remembered]').forEach(function (field) {
      var name = field.getAttribute('data-remembered'), said = null;
      try { said = JSON.parse(store.getItem('said|' + name)); } catch (broken) { said = null; }
      // The air and the meter of another evening are none of this one.
      if (said && !field.value && (name === 'who' || Date.now() - said.at < 12 * 3600000)) { field.value = said.words; }
    });
  }
  document.addEventListener('change', function (event) {
    var name = event.target.getAttribute && event.target.getAttribute('data-remembered');
    if (!name) { return; }
    store.setItem('said|' + name, JSON.stringify({ at: Date.now(), words: event.target.value }));
  });

  document.addEventListener('submit', function (event) {
    var form = event.target;
    if (!form.hasAttribute('data-bench')) { return; }
    event.preventDefault();
    var data = new FormData(form), fields = {}, by = event.submitter;
    if (by && by.name) { data.set(by.name, by.value); }
    data.forEach(function (value, name) { if (['token', 'plan', 'based-on', 'id', 'back'].indexOf(name) < 0) { fields[name] = value; } });
    fields.time = now();
    fields.device = device();
    var entry = { id: id(), called: form.getAttribute('data-called') || '', fields: fields };
    try { keep(entry); } catch (full) {
      document.getElementById('notice').textContent = 'This browser has no room left. Write it on paper: ' + fields.typed;
      return;
    }
    Array.from(form.elements).forEach(function (e) { if (e.name === 'typed' && e.type !== 'hidden' && e.type !== 'submit') { e.value = ''; } });
    show();
    flush();
  });
  window.addEventListener('online', flush);
  // Others entered something: soon, and not all phones in the same moment.
  var soon = null;
  document.addEventListener('gapwright:book', function () {
    if (soon || sending) { return; }
    soon = setTimeout(function () { soon = null; if (!sending) { flush(); } }, 200 + Math.random() * 800);
  });
  document.addEventListener('gapwright:renewed', function () { remember(); show(); });
  remember();
  show();
  if (all().length) { flush(); }
})();
