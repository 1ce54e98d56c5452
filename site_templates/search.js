"use strict";
/* Looks things up in the index that the page holds anyway: the script only ranks and narrows it. Nothing is fetched,
   and no text becomes markup. First the part that knows no page, so that it can be tested alone. */
var PortalSearch = (function () {
  var PLAIN = { "ß": "ss", "æ": "ae", "œ": "oe", "ø": "o", "đ": "d", "ð": "d", "ł": "l", "þ": "th", "ı": "i" };
  var UMLAUT = { "ä": "ae", "ö": "oe", "ü": "ue", "ø": "oe", "å": "aa" };
  var MOST = { name: 8, context: 3, words: 2 };

  function swap(text, table) {
    return text.replace(/[^\u0000-\u007f]/g, function (letter) {
      return Object.prototype.hasOwnProperty.call(table, letter) ? table[letter] : letter;
    });
  }
  /* No case, no accents: Größe is grosse. */
  function fold(text) {
    return swap(text.normalize("NFKC").toLowerCase().normalize("NFKD"), PLAIN).replace(/\p{M}+/gu, "");
  }
  /* The same with umlauts spelt out, as one types them without the key: Größe is groesse. */
  function spelt(text) {
    return fold(swap(text.normalize("NFKC").toLowerCase(), UMLAUT));
  }
  function split(text) {
    return text.match(/[\p{L}\p{N}\p{M}]+(?:[._\-\/][\p{L}\p{N}\p{M}]+)*/gu) || [];
  }
  /* Words as they may be looked for: whole ones, and the pieces of joined ones (AB-12 also as 12). */
  function wordsOf(text) {
    var whole = new Set(), pieces = new Set();
    split(text).forEach(function (word) {
      whole.add(fold(word)).add(spelt(word));
      word.split(/[._\-\/]/).filter(Boolean).forEach(function (piece) { pieces.add(fold(piece)).add(spelt(piece)); });
    });
    return { whole: Array.from(whole), pieces: Array.from(pieces) };
  }
  function isLatin(word) { return /^[\u0000-\u024f]+$/.test(word); }
  /* How well a word of the query is found: as a whole word 3, as a beginning or a piece 2, within 1, not at all 0. */
  function degree(word, words) {
    var within = word.length > 2 || !isLatin(word);
    if (words.whole.includes(word)) { return 3; }
    if (words.whole.concat(words.pieces).some(function (each) { return each.startsWith(word); })) { return 2; }
    return within && words.whole.some(function (each) { return each.includes(word); }) ? 1 : 0;
  }
  function queryOf(text) { return split(text).map(function (word) { return fold(word); }); }
  /* Every word of the query has to be found; names count more than what stands beside them. */
  function score(query, entry) {
    var sum = 0, at, best;
    for (at = 0; at < query.length; at += 1) {
      best = Math.max.apply(null, Object.keys(MOST).map(function (field) {
        return MOST[field] * degree(query[at], entry[field]);
      }));
      if (!best) { return 0; }
      sum += best;
    }
    return sum + (query.length === entry.nameLength && sum === 3 * MOST.name * query.length ? 4 : 0);
  }
  function better(a, b) {
    return b.score - a.score || a.entry.rank - b.entry.rank || a.entry.order - b.entry.order;
  }
  /* The best first. */
  function search(text, entries) {
    var query = queryOf(text);
    if (!query.length) { return []; }
    return alone(entries.map(function (entry) { return { entry: entry, score: score(query, entry) }; }));
  }
  /* Where nothing holds every word: what holds the most of them. Words of one or two letters stand everywhere. */
  function nearest(text, entries) {
    var query = queryOf(text).filter(function (word) { return word.length > 2 || !isLatin(word); }), most = 0, best = [];
    entries.forEach(function (entry) {
      var held = query.filter(function (word) { return score([word], entry) > 0; });
      if (held.length > most) { most = held.length; best = []; }
      if (held.length && held.length === most) { best.push({ words: held, entry: entry }); }
    });
    best = best.map(function (each) { return { entry: each.entry, score: score(each.words, each.entry) }; });
    return alone(best);
  }
  /* Of several entries that lead to one page, the best. */
  function alone(found) {
    var best = new Map();
    found.forEach(function (each) {
      var was = best.get(each.entry.href);
      if (each.score && (!was || better(each, was) < 0)) { best.set(each.entry.href, each); }
    });
    return Array.from(best.values()).sort(better).map(function (each) { return each.entry; });
  }
  /* A text in pieces, those true that hold a word of the query: to be marked. */
  function marked(text, query) {
    var pieces = [], last = 0;
    text.replace(/[\p{L}\p{N}\p{M}]+(?:[._\-\/][\p{L}\p{N}\p{M}]+)*/gu, function (word, at) {
      if (query.some(function (each) { return degree(each, wordsOf(word)) > 0; })) {
        pieces.push([text.slice(last, at), false], [word, true]);
        last = at + word.length;
      }
      return word;
    });
    pieces.push([text.slice(last), false]);
    return pieces.filter(function (piece) { return piece[0]; });
  }
  return { fold: fold, queryOf: queryOf, wordsOf: wordsOf, search: search, nearest: nearest, marked: marked };
}());

(function () {
  var finder = document.getElementById("finder"), MANY = 60, entries = null;
  if (!finder) { return; }
  var query = document.getElementById("query"), hits = document.getElementById("hits");
  var count = document.getElementById("found-count"), index = document.getElementById("index");
  var ranks = finder.dataset.kinds.split(" ");

  function read() {
    return Array.from(index.querySelectorAll("li")).map(function (line, order) {
      var link = line.querySelector("a"), context = line.querySelector("small");
      var name = PortalSearch.wordsOf(link.textContent);
      return {
        href: link.getAttribute("href"), line: line, order: order, rank: ranks.indexOf(line.dataset.kind),
        name: name, nameLength: PortalSearch.queryOf(link.textContent).length,
        context: PortalSearch.wordsOf(context.textContent),
        words: PortalSearch.wordsOf(line.dataset.words || "")
      };
    });
  }
  /* Copies a line and marks what was found: text stays text. */
  function hit(entry, words) {
    var copy = entry.line.cloneNode(true), walker = document.createTreeWalker(copy, NodeFilter.SHOW_TEXT), texts = [];
    while (walker.nextNode()) { texts.push(walker.currentNode); }
    texts.forEach(function (text) {
      if (text.parentNode.nodeName === "B") { return; }
      text.replaceWith.apply(text, PortalSearch.marked(text.data, words).map(function (piece) {
        var mark = piece[1] ? document.createElement("mark") : null;
        if (mark) { mark.textContent = piece[0]; }
        return mark || piece[0];
      }));
    });
    return copy;
  }
  function show() {
    var words = PortalSearch.queryOf(query.value), found, some;
    entries = entries || read();
    found = PortalSearch.search(query.value, entries);
    some = found.length || words.length < 2 ? [] : PortalSearch.nearest(query.value, entries);
    index.hidden = words.length > 0;
    hits.replaceChildren.apply(hits, (found.length ? found : some).slice(0, MANY).map(function (entry) { return hit(entry, words); }));
    count.textContent = !words.length ? "" : !found.length ? (some.length ? finder.dataset.some : finder.dataset.none)
      : found.length === 1 ? finder.dataset.one : finder.dataset.many.replace("#", String(found.length))
        + (found.length > MANY ? " " + finder.dataset.more.replace("#", String(MANY)) : "");
  }
  function remember() {
    var page = location.href.split("#")[0], mark = query.value ? "#q=" + encodeURIComponent(query.value) : "";
    try { history.replaceState(null, "", page + mark); } catch (refused) { return; }
  }
  function recall() {
    var given = /^#q=(.*)$/.exec(location.hash);
    if (!given) { return; }
    try { query.value = decodeURIComponent(given[1]); } catch (broken) { query.value = ""; }
    show();
  }
  function step(by) {
    var links = Array.from(hits.querySelectorAll("a")), at = links.indexOf(document.activeElement) + by;
    if (at < 0 || !links.length) { query.focus(); return; }
    links[Math.min(at, links.length - 1)].focus();
  }

  finder.hidden = false;
  query.addEventListener("input", show);
  query.addEventListener("change", remember);
  finder.addEventListener("keydown", function (event) {
    var first = hits.querySelector("a");
    if (event.key === "ArrowDown") { step(1); }
    else if (event.key === "ArrowUp") { step(-1); }
    else if (event.key === "Escape" && event.target !== query) { query.focus(); }
    else if (event.key === "Enter" && event.target === query && first && query.value.trim()) { remember(); first.click(); }
    else { return; }
    event.preventDefault();
  });
  document.addEventListener("keydown", function (event) {
    if (event.key !== "/" || event.target === query) { return; }
    query.focus();
    event.preventDefault();
  });
  window.addEventListener("hashchange", recall);
  recall();
  if (!query.value && !location.hash) { query.focus(); }
}());
