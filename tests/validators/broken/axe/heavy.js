// Ten times 40 kB is more than a page of figures needs.
for (let i = 0; i < 10; i += 1) fetch(`heavy.txt?${i}`).then((answer) => answer.text());
