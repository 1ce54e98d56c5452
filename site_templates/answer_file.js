/*
 * From what was entered to an answer file, to lines of a plain reply, to a mail's address. It knows no page: `data` is
 * what the review asked, `said` what was entered. Which letter takes what is told by the data.
 */
var PortalAnswer = {
  /* The answer to one ask; null where there is none. Words without a letter are kept, for a person to read. */
  given: function (ask, one) {
    var form = ask.letters[one.letter], takes = form ? form.takes : [], given = { number: ask.number, ask: ask.ask };
    var left = has("left_out") ? one.left_out : [], words = PortalAnswer.clean(one.words), limit, concession;
    function has(what) { return takes.indexOf(what) >= 0; }
    if (!form && !words) { return null; }
    if (form) { given.letter = one.letter; }
    given.findings = ask.findings.filter(function (each) { return left.indexOf(each.finding) < 0; });
    if (left.length) { given.left_out = left; }
    concession = has("concession") ? PortalAnswer.filled(one.concession) : {};
    if (words) {
      if (form && form.words === "justification") { concession.justification = words; }
      else { given[form ? form.words : ask.bare] = words; }
    }
    if (has("evidence") && one.evidence.length) { given.evidence = one.evidence; }
    if (Object.keys(concession).length) { given.concession = concession; }
    limit = has("limit") ? PortalAnswer.filled(one.limit) : {};
    if (limit.limit) { given.limit = limit; }
    else if (limit.condition || limit.holds) {
      given.comment = [given.comment, limit.condition, limit.holds].filter(Boolean).join(", ");
    }
    if (has("looked_at") && one.looked_at) { given.looked_at = one.looked_at; }
    if (has("keep") && one.keep.length) {
      given.keep = one.keep.filter(function (each) { return left.indexOf(each.finding) < 0; });
      if (!given.keep.length) { delete given.keep; }
    }
    return given;
  },
  /* Whether it is an answer: a letter that covers something, or words where words are asked for. */
  counts: function (ask, given) {
    if (!given) { return false; }
    if (!given.letter) { return Boolean(given.words); }
    return given.findings.length > 0 || ask.findings.length === 0;
  },
  answers: function (data, said) {
    return data.asks.map(function (ask) { return PortalAnswer.given(ask, said.asks[ask.number]); }).filter(Boolean);
  },
  questions: function (said) {
    return said.own.map(function (each) {
      return PortalAnswer.filled({ question: each.question, picture: each.picture, spot: each.spot, finding: each.finding });
    }).filter(function (each) { return each.question; });
  },
  file: function (data, said, at) {
    return {
      format: data.format,
      answers_to: data.digest,
      code: data.code,
      language: data.language,
      answered_by: PortalAnswer.filled(said.who),
      answered_at: at,
      answers: PortalAnswer.answers(data, said),
      questions: PortalAnswer.questions(said)
    };
  },
  /* One paragraph for each answer, so that nothing of one can be read into the next. */
  text: function (data, said) {
    var lines = [data.text.review + " " + data.code];
    var who = PortalAnswer.filled(said.who), rest = [who.organisation, who.role].filter(Boolean).map(PortalAnswer.flat);
    PortalAnswer.answers(data, said).forEach(function (given) { lines.push(PortalAnswer.line(data, given)); });
    PortalAnswer.questions(said).forEach(function (each) {
      var where = [each.finding, each.picture, each.spot].filter(Boolean).join(" ");
      lines.push("? " + (where ? where + ": " : "") + PortalAnswer.flat(each.question));
    });
    if (who.name) { lines.push(data.text.answered_by + " " + PortalAnswer.flat(who.name)); }
    return lines.join("\n\n") + (rest.length ? "\n\n-- \n" + rest.join(", ") : "") + "\n";
  },
  /* What takes a value of a set form stands before free words, in which nothing else is looked for. */
  line: function (data, given) {
    var parts = [String(given.number)], words = data.text, concession = given.concession || {}, limit = given.limit || {};
    function add(word, value) { if (value) { parts.push(word + " " + PortalAnswer.flat(value)); } }
    function spelt(word) { return data.spelt[word]; }
    if (!given.letter && given.words) { return given.number + ") " + PortalAnswer.flat(given.words); }
    if (given.letter) { parts.push(given.letter); }
    if (given.question) { parts.push(PortalAnswer.flat(given.question)); }
    if (given.evidence) { parts.push(given.evidence.map(spelt).join(", ")); }
    ["quantity", "number", "lots", "cavities", "until", "reference"].forEach(function (name) {
      add(words[name], concession[name]);
    });
    add(words.limit, limit.limit);
    if (limit.holds) { parts.push(spelt(limit.holds)); }
    if (given.left_out) { add(words.except, given.left_out.join(", ")); }
    if (given.keep) {
      add(words.keep, given.keep.map(function (each) { return each.finding + " " + spelt(each.side); }).join(", "));
    }
    if (given.looked_at) { add(words.looked_at, spelt(given.looked_at)); }
    add(words.because, concession.justification);
    add(words.condition, limit.condition);
    add(words.comment, given.comment);
    return parts.join(" ");
  },
  /* The address of a mail with that text; with `instead` where it would be longer than programs take. */
  mail: function (data, text, instead, most) {
    function address(body) {
      return "mailto:" + encodeURIComponent(data.mail.to).replace(/%40/g, "@") +
        "?subject=" + encodeURIComponent(data.mail.subject) +
        "&body=" + encodeURIComponent(body.replace(/\n/g, "\r\n"));
    }
    var whole = address(text);
    return whole.length <= most ? { href: whole, whole: true } : { href: address(instead), whole: false };
  },
  /* Without half signs, which no file can hold, and without blanks around. */
  clean: function (text) {
    return String(text || "").replace(/[\ud800-\udbff](?![\udc00-\udfff])|(^|[^\ud800-\udbff])[\udc00-\udfff]/g, "$1").trim();
  },
  flat: function (text) { return PortalAnswer.clean(text).replace(/\s+/g, " "); },
  filled: function (record) {
    var found = {};
    Object.keys(record).forEach(function (name) {
      var value = PortalAnswer.clean(record[name]);
      if (value) { found[name] = value; }
    });
    return found;
  }
};
