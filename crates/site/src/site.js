// Brings pages up to date in place. Everything works without it.
(function () {
  'use strict';
  var notice = document.getElementById('notice');
  var base = document.body.getAttribute('data-base') || '';
  var dirty = false, filling = false;
  function say(words) { notice.textContent = words; }

  // Another version of the plan: the same page is fetched, and its main part put in place of this one.
  function renew(address, push) {
    return fetch(address, { credentials: 'same-origin' }).then(function (answer) {
      return answer.text().then(function (text) {
        var page = new DOMParser().parseFromString(text, 'text/html');
        var main = page.getElementById('main');
        if (!main) { location.assign(address); return; }
        var box = document.querySelector('.drawing');
        // What was in the middle stays there, also where it is shown larger or smaller.
        var at = box ? [box.scrollLeft + box.clientWidth / 2, box.scrollTop + box.clientHeight / 2, box.scrollWidth, box.scrollHeight] : null;
        var held = document.activeElement && document.activeElement.getAttribute('data-key');
        document.getElementById('main').replaceWith(document.adoptNode(main));
        document.title = page.title;
        document.body.setAttribute('data-version', page.body.getAttribute('data-version') || '');
        if (answer.headers.get('refresh')) { setTimeout(function () { renew(answer.url, false); }, 1500); }
        if (push) { history.pushState(null, '', answer.url); }
        box = document.querySelector('.drawing');
        if (box && at) {
          box.scrollLeft = at[0] / at[2] * box.scrollWidth - box.clientWidth / 2;
          box.scrollTop = at[1] / at[3] * box.scrollHeight - box.clientHeight / 2;
        }
        if (held) {
          var same = document.querySelector('[data-key="' + CSS.escape(held) + '"]');
          if (same) { same.focus({ preventScroll: true }); }
        }
        listen();
        document.dispatchEvent(new Event('gapwright:renewed'));
      });
    });
  }

  // A turnout that is thrown, or a layer that is chosen, changes the drawing where it is.
  document.addEventListener('click', function (event) {
    var link = event.target.closest && event.target.closest('a');
    if (!link || event.defaultPrevented || event.button || event.metaKey || event.ctrlKey || event.shiftKey) { return; }
    var to = link.getAttribute('href');
    var home = base + '/';
    if (location.pathname !== home || !to || (to !== home && to.indexOf(home + '?') !== 0)) { return; }
    event.preventDefault();
    if (link.hasAttribute('data-then') && window.gapwrightThrow) {
      window.gapwrightThrow(link).catch(function () { return renew(to, true); }).catch(function () { location.assign(to); });
      return;
    }
    renew(to, true).catch(function () { location.assign(to); });
  });
  window.addEventListener('popstate', function () { if (!location.hash) { renew(location.href, false); } });

  // The text is looked at while it is written.
  function listen() {
    var area = document.getElementById('plan');
    var found = document.getElementById('checked');
    dirty = false;
    filling = false;
    if (!area) { return; }
    var waits = null, asked = 0, again = 0;
    function look() {
      var mine = ++asked;
      fetch(base + '/check', { method: 'POST', body: new URLSearchParams(new FormData(area.form)) })
        .then(function (answer) {
          if (!answer.ok) { return Promise.reject(); }
          // Not looked at in time: the machine may only be busy.
          if (answer.status === 202 && mine === asked && ++again < 4) { waits = setTimeout(look, 2000); }
          return answer.text();
        })
        .then(function (text) {
          if (mine !== asked) { return; }
          var page = new DOMParser().parseFromString(text, 'text/html');
          found.replaceChildren.apply(found, Array.from(page.body.childNodes));
        })
        .catch(function () { say('The text could not be looked at just now.'); });
    }
    function written() {
      dirty = true;
      if (!found) { return; }
      clearTimeout(waits);
      again = 0;
      waits = setTimeout(look, 400);
    }
    area.form.addEventListener('submit', function () { dirty = false; });
    area.addEventListener('input', written);
    // Somebody wrote before this script was there, or came back to what was written.
    if (area.value !== area.defaultValue) { written(); }
  }
  // What somebody is filling in is not taken from under their hands.
  document.addEventListener('input', function (event) {
    var form = event.target.form;
    if (form && form.method === 'post') { filling = true; }
  });
  window.addEventListener('beforeunload', function (event) { if (dirty) { event.preventDefault(); } });

  if (document.body.hasAttribute('data-version')) {
    // A browser has few connections to one server: a page that nobody sees leaves its own to the others.
    var events = null;
    var listenTo = function () {
      if (events) { events.close(); }
      events = null;
      if (document.visibilityState === 'hidden') { return; }
      events = new EventSource(base + '/events');
      events.onmessage = function (message) {
        if (message.data === 'gone') { say('The plan file is gone. This is what it last held; what you typed is kept.'); return; }
        if (message.data === document.body.getAttribute('data-version')) { say(''); return; }
        if (!dirty && filling || location.pathname === base + '/act') { say('The plan was changed elsewhere; go back and look before you send this form.'); return; }
        if (dirty || location.pathname === base + '/save') { say('The plan was changed elsewhere. Saving will show both texts.'); return; }
        renew(location.href, false).then(function () { say('The plan was changed; this is how it is now.'); })
          .catch(function () { say('The plan was changed; load the page again.'); });
      };
      events.addEventListener('book', function () { document.dispatchEvent(new Event('gapwright:book')); });
      events.onopen = function () { document.dispatchEvent(new Event('gapwright:book')); };
      events.onerror = function () { say('The server does not answer. This is how the pages were; what you type is kept in this browser.'); };
    };
    document.addEventListener('visibilitychange', listenTo);
    listenTo();
    window.addEventListener('pagehide', function () { if (events) { events.close(); } });
    window.addEventListener('pageshow', function (event) { if (event.persisted) { listenTo(); } });
  }
  listen();
})();
