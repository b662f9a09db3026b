// The line to the server: wishes out, parts of the state in. It is taken up again when it breaks.

const FIRST_WAIT_MS = 400;
const LONGEST_WAIT_MS = 4000;

export function openLink({ part, lost, found, refused }) {
  let socket = null;
  let wait = FIRST_WAIT_MS;

  function connect() {
    const address = new URL("./socket", location.href);
    address.protocol = "ws:";
    socket = new WebSocket(address);
    socket.onopen = () => {
      wait = FIRST_WAIT_MS;
      found();
    };
    socket.onmessage = (message) => {
      const told = JSON.parse(message.data);
      if (told.refused) refused(told.refused);
      for (const name of Object.keys(told)) part(name, told[name]);
    };
    socket.onclose = () => {
      socket = null;
      lost();
      setTimeout(connect, wait);
      wait = Math.min(wait * 1.6, LONGEST_WAIT_MS);
    };
  }

  connect();
  return (wish) => {
    if (socket?.readyState === WebSocket.OPEN) socket.send(JSON.stringify(wish));
  };
}
