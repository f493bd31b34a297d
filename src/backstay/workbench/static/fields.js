// The fields of the thing that is chosen. What is being typed stays until the server has answered for it.
export default {
  props: { form: Object },
  template: `
    <div class="fields-two">
      <component v-for="group in form.groups" :is="group.closed ? 'details' : 'div'" :key="group.key">
        <summary v-if="group.closed">{{ group.title }}</summary>
        <div v-else-if="group.title" class="group">{{ group.title }}</div>
        <div class="fields">
          <div v-for="field in group.fields" :key="field.key" class="field" :class="field.form">
            <label :for="'f-' + field.key" :title="field.help">{{ field.label }}</label>
            <select v-if="field.form === 'choice'" :id="'f-' + field.key" :value="shown(field)" :title="field.help"
                :disabled="!form.editable" @change="set(field, $event.target.value)">
              <option v-if="!field.required" value="">{{ field.default }} (default)</option>
              <option v-for="word in field.choices" :key="word" :value="word">{{ word }}</option>
            </select>
            <textarea v-else-if="field.form === 'points'" :id="'f-' + field.key" rows="4" :value="shown(field)"
                :placeholder="field.default" :title="field.help" :disabled="!form.editable"
                @input="typed[field.key] = $event.target.value" @change="set(field, $event.target.value)"
                @keydown.escape="drop(field)"></textarea>
            <input v-else :id="'f-' + field.key" :value="shown(field)" :placeholder="field.default" :title="field.help"
                :disabled="!form.editable" autocomplete="off" spellcheck="false"
                :list="field.words.length ? 'w-' + field.key : null"
                :aria-invalid="why[field.key] ? 'true' : 'false'" :aria-describedby="'y-' + field.key"
                @input="typed[field.key] = $event.target.value" @change="set(field, $event.target.value)"
                @keydown.escape="drop(field)">
            <datalist v-if="field.words.length" :id="'w-' + field.key"><option v-for="word in field.words" :key="word" :value="word"></option></datalist>
            <button v-if="form.editable && field.given && !field.required" class="clear" type="button"
                :aria-label="'Take out ' + field.label + ': ' + (field.default || 'the default') + ' holds'"
                :title="'Take out: ' + (field.default || 'the default') + ' holds'" @click="set(field, '')">✕</button>
            <div class="why" :id="'y-' + field.key" role="alert">{{ why[field.key] }}</div>
            <button v-if="retry[field.key]" type="button" class="act anyway" @click="set(field, typed[field.key], true)">Set it all the same</button>
          </div>
        </div>
      </component>
    </div>`,
  data() {
    // judged: what was refused, as it was typed, and the state of the project that refused it;
    // sent: what the server has not answered for yet
    return { typed: {}, why: {}, retry: {}, judged: {}, sent: {} };
  },
  watch: {
    "form.of"() {
      this.typed = {};
      this.why = {};
      this.retry = {};
      this.judged = {};
      this.sent = {};
    },
    "form.revision"(now) {
      // what the project refused as it was may be right now: it goes, but not what is being typed
      for (const [key, { text, revision }] of Object.entries(this.judged)) {
        if (revision >= now) continue;
        const typing = key in this.typed && this.typed[key] !== text ? this.typed[key] : null;
        this.drop({ key });
        if (typing !== null) this.typed[key] = typing;
      }
    },
  },
  methods: {
    shown(field) {
      return field.key in this.typed ? this.typed[field.key] : field.value;
    },
    set(field, text, anyway = false) {
      this.sent[field.key] = text.slice(0, 20000); // so much is taken
      this.$emit("set", { key: field.key, text, anyway });
    },
    drop(field) {
      delete this.typed[field.key];
      delete this.why[field.key];
      delete this.retry[field.key];
      delete this.judged[field.key];
    },
    settled(answer) {
      const { key, text } = answer;
      if (key in this.sent && this.sent[key] !== text) return; // something else was sent since: its answer comes
      delete this.sent[key];
      const more = key in this.typed && this.typed[key] !== text ? this.typed[key] : null; // typed on since
      this.drop(answer);
      if (answer.bad) {
        this.why[key] = answer.bad;
        this.typed[key] = text;
        this.judged[key] = { text, revision: answer.revision };
        if (answer.retry) this.retry[key] = true;
        if (!this.typing()) this.$nextTick(() => document.getElementById("f-" + key)?.focus());
      }
      if (more !== null) this.typed[key] = more;
    },
    typing() {
      // whether something is typed where the focus is that was not sent: the focus then stays there
      const key = document.activeElement?.id.slice(2);
      return key in this.typed && !(key in this.sent) && !(key in this.judged);
    },
  },
};
