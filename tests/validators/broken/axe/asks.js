fetch("https://elsewhere.example/count").catch(() => {});
