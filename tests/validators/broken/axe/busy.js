for (let i = 0; i < 20; i += 1) fetch(`busy.js?${i}`);
