// What is typed is kept in this browser until the server has it. Everything works without it.
(function () {
  'use strict';
  var plan = document.body.getAttribute('data-plan') || '';
  var base = document.body.getAttribute('data-base') || '';
  var notice = document.getElementById('notice');
  // Fields that pages fill themselves, anew each time.
  var OWN = ['token', 'plan', 'based-on', 'id', 'sure', 'anew', 'only'];
  var store = null;
  try { store = window.localStorage; store.getItem('draft'); } catch (none) { store = null; }

  function say(words) { notice.textContent = words; }
  function shownPath() { return location.pathname.slice(base.length) + location.search; }
  /** Which form of which page of which plan. */
  function key(form) {
    var act = form.querySelector('input[name="act"]'), of = form.querySelector('input[name="of"]');
    return ['draft', plan, form.getAttribute('action'), act ? act.value : '', of ? of.value : ''].join('|');
  }
  function fields(form) {
    return Array.from(form.elements).filter(function (e) {
      return e.name && e.type !== 'hidden' && e.type !== 'submit' && OWN.indexOf(e.name) < 0;
    });
  }
  function typed(form) {
    return fields(form).some(function (e) {
      if (e.type === 'checkbox') { return e.checked !== e.defaultChecked; }
      if (e.tagName === 'SELECT') {
        return Array.from(e.options).some(function (o) { return o.selected !== o.defaultSelected && (o.selected || e.querySelector('[selected]')); });
      }
      return e.value !== e.defaultValue;
    });
  }
  function read(name) {
    try { return JSON.parse(store.getItem(name)); } catch (broken) { return null; }
  }
  function keep(form, sent) {
    if (!store) { return; }
    if (!typed(form) && !sent) { store.removeItem(key(form)); return; }
    var values = {};
    fields(form).forEach(function (e) { values[e.name] = e.type === 'checkbox' ? e.checked : e.value; });
    try { store.setItem(key(form), JSON.stringify({ at: Date.now(), page: shownPath(), sent: sent, values: values })); }
    catch (full) { say('This browser keeps no drafts: send the form before you leave the page.'); }
  }
  function forms() {
    return Array.from(document.querySelectorAll('form[method="post"]')).filter(function (form) {
      return fields(form).length && !form.hasAttribute('data-bench');
    });
  }

  // What was sent and is written needs no draft any more; what was refused stands on the page itself.
  function sweep() {
    if (!store) { return; }
    var done = document.querySelector('.done');
    for (var i = store.length - 1; i >= 0; i--) {
      var name = store.key(i);
      if (!name || name.indexOf('draft|') !== 0) { continue; }
      var draft = read(name);
      var old = !draft || Date.now() - draft.at > 30 * 24 * 3600 * 1000;
      if (old || (draft.sent && done && name.split('|')[1] === plan)) { store.removeItem(name); }
    }
  }

  // A draft that was never written is offered, and never put in place of what is there without being asked.
  function offer(form) {
    var draft = store && read(key(form));
    if (!draft || document.querySelector('.given-back')) { return; }
    var differs = fields(form).some(function (e) {
      return draft.values[e.name] !== undefined && draft.values[e.name] !== (e.type === 'checkbox' ? e.checked : e.value);
    });
    if (!differs) { return; }
    var box = document.createElement('p');
    box.className = 'draft warning';
    box.setAttribute('role', 'status');
    box.textContent = 'You typed something here on ' + new Date(draft.at).toLocaleString() + ' that was not saved. ';
    function button(words, does) {
      var b = document.createElement('button');
      b.type = 'button';
      b.className = 'second';
      b.textContent = words;
      b.addEventListener('click', function () { does(); box.remove(); });
      box.append(b, ' ');
    }
    button('Put it back', function () {
      fields(form).forEach(function (e) {
        if (draft.values[e.name] === undefined) { return; }
        if (e.type === 'checkbox') { e.checked = draft.values[e.name]; } else { e.value = draft.values[e.name]; }
        e.dispatchEvent(new Event('input', { bubbles: true }));
      });
      var folded = form.closest('details');
      if (folded) { folded.open = true; }
    });
    button('Forget it', function () { store.removeItem(key(form)); });
    form.prepend(box);
  }

  document.addEventListener('input', function (event) {
    var form = event.target.form;
    if (form && forms().indexOf(form) >= 0) { keep(form, false); }
  });

  // A server that does not answer is told before the page is left; what was typed stays where it is.
  document.addEventListener('submit', function (event) {
    var form = event.target, by = event.submitter;
    if (form.method !== 'post' || form.hasAttribute('data-bench') || form.hasAttribute('data-asked')) { return; }
    event.preventDefault();
    if (forms().indexOf(form) >= 0) { keep(form, true); }
    fetch('/icon.svg', { cache: 'no-store' }).then(function (answer) {
      if (!answer.ok) { throw new Error(); }
      form.setAttribute('data-asked', '');
      form.requestSubmit(by || undefined);
      form.removeAttribute('data-asked');
    }).catch(function () {
      say('Not sent: the server does not answer. What you typed is kept in this browser; send it again when the server runs.');
    });
  });

  function listen() { sweep(); forms().forEach(offer); }
  document.addEventListener('gapwright:renewed', function () { forms().forEach(offer); });
  listen();
})();
